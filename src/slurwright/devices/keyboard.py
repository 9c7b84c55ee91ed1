"""Was Enter pressed? Asked without waiting."""

import sys

if sys.platform == "win32":
    import msvcrt
else:
    import select

__all__ = ["enter_was_pressed"]


def enter_was_pressed() -> bool:
    """Say whether a line waits at the terminal, and take it; never where there is no terminal to press keys at."""
    try:
        if not sys.stdin.isatty():
            return False
        if sys.platform == "win32":
            return bool(msvcrt.kbhit()) and msvcrt.getwch() in "\r\n"
        ready, _, _ = select.select([sys.stdin], [], [], 0)
        return bool(ready) and bool(sys.stdin.readline())
    except (OSError, ValueError):  # no standard input at all
        return False
