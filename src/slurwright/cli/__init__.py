"""Commands: words of the terminal turned into jobs, and answers into words; no formulas."""

import gc
import os
import sys

from slurwright.errors import DamagedStoreError, SlurwrightError

__all__ = ["main"]

_MENDING = (
    "slurwright: `slurwright book restore` brings the last backup back, `slurwright book restore --empty` begins anew"
)


_SWEEP_AFTER = 50_000
"""New values between two searches for cycles among them: a command is over before many have gathered (ours) [1]."""


def main() -> None:
    """Run the command line; a fault of the input is said in words and ends with exit status 2."""
    # Matrices here are small: threads of linear algebra would only wait for each other. Said before numpy loads.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # Years of attempts become millions of values that hold no cycles; searching them takes a fifth of the time.
    gc.set_threshold(_SWEEP_AFTER)
    from slurwright.cli.group import slurwright  # noqa: PLC0415  click is not needed to import the package

    try:
        slurwright()
    except SlurwrightError as error:
        for fault in error.faults:
            print(f"slurwright: {fault}", file=sys.stderr)  # noqa: T201
        if isinstance(error, DamagedStoreError):
            print(_MENDING, file=sys.stderr)  # noqa: T201
        sys.exit(2)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
