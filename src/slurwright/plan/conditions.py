"""The same line under other conditions: a conductor who asks for another dynamic, a rehearsal at another tempo."""

from dataclasses import replace

from slurwright.errors import RequestError
from slurwright.score import Line

__all__ = ["with_dynamic", "with_pace", "with_tempo"]


def with_dynamic(line: Line, level: float) -> Line:
    """Play a whole line at one dynamic.

    Args:
        line: stays as it is; a new one is given.
        level: dynamic of every note [steps from mf].

    """
    return Line(
        sounds=tuple(replace(sound, dynamic=level) for sound in line.sounds),
        moves=tuple(replace(move, dynamic=level) for move in line.moves),
    )


def with_tempo(line: Line, tempo_qpm: float, *, marked_qpm: float) -> Line:
    """Play a line so that it starts at a tempo; later tempos keep their proportion.

    Args:
        line: stays as it is; a new one is given.
        tempo_qpm: wanted at the start, above zero [quarters/min].
        marked_qpm: what stands at the start, above zero [quarters/min].

    Raises:
        RequestError: the tempo is not above zero.

    """
    if not tempo_qpm > 0.0:
        raise RequestError("a tempo", got=f"{tempo_qpm:g}", allowed="above 0 quarters a minute")
    return with_pace(line, tempo_qpm / marked_qpm)


def with_pace(line: Line, pace: float) -> Line:
    """Play a line faster or slower.

    Args:
        line: stays as it is; a new one is given.
        pace: 2 for twice as fast [1].

    Raises:
        RequestError: the pace is not above zero.

    """
    if not pace > 0.0:
        raise RequestError("a pace", got=f"{pace:g}", allowed="above 0")
    return Line(
        sounds=tuple(replace(sound, duration_s=sound.duration_s / pace) for sound in line.sounds),
        moves=tuple(replace(move, time_s=move.time_s / pace, gap_s=move.gap_s / pace) for move in line.moves),
    )
