"""What was asked of the player: the notes in the order of play, as sounds, with nothing of notation in them."""

from dataclasses import dataclass

__all__ = ["AskedNote", "Passage"]


@dataclass(frozen=True, slots=True)
class AskedNote:
    """One note of the passage as it should sound."""

    hz: float
    """Target pitch [Hz]."""
    onset_s: float
    """When it starts at the marked tempo, from the start of the passage [s]."""
    length_s: float
    """How long it sounds at the marked tempo [s]."""
    slurred_to_next: bool = False
    series_hz: tuple[float, ...] = ()
    """What the asked fingering's air column sounds, partial 1 first, on the player's own horn; empty where the
    fingering is not known [Hz]."""
    partial: int | None = None
    """Which of the series this note is, from 1; None where the fingering is not known."""


@dataclass(frozen=True, slots=True)
class Passage:
    """Notes in the order of play, one or more, onsets rising."""

    notes: tuple[AskedNote, ...]

    def joined(self) -> tuple[tuple[int, int], ...]:
        """List the pairs of neighbours that are slurred, as indices into ``notes``."""
        return tuple((at, at + 1) for at, note in enumerate(self.notes[:-1]) if note.slurred_to_next)
