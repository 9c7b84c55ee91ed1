"""What the samples of a recording were like before they were brought to the working rate: a filter hides it."""

from dataclasses import dataclass

__all__ = ["RawLevels"]


@dataclass(frozen=True, slots=True)
class RawLevels:
    """Marks that the way through microphone, converter and file leaves on single samples."""

    peak: float
    """Largest sample without its offset, full scale 1."""
    offset: float
    """Mean of all samples, full scale 1; it is taken out before anything is measured."""
    clipped_share: float
    """Share of samples on flat tops, 0..1."""
    clipped_runs: int
    """How many flat tops there are."""
    lost_runs: int
    """How many times sound breaks off into exact zeros and goes on."""
    first_lost_s: float | None = None
    """When it first does [s]."""
