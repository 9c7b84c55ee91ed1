"""What of all that was found in a slur is worth a word to its player."""

from slurwright.listen.figure import Figure, Hidden, Veil
from slurwright.listen.measures import Reason, SlurMeasure, SlurOutcome

__all__ = ["hidden_by", "telling"]

_SMOOTH = 0.85
"""A slur that spoke and is at least so smooth has nothing to say against it; ours, provisional [1]."""


def telling(slur: SlurMeasure) -> tuple[Reason, ...]:
    """Choose the reasons that are worth a word, heaviest first.

    A slur that spoke smoothly has none, and one that counts as not tongued is not blamed for the tongue.
    """
    if slur.outcome is not SlurOutcome.CLEAN:
        return slur.reasons
    if isinstance(slur.quality, Figure) and slur.quality.value >= _SMOOTH:
        return ()
    return tuple(reason for reason in slur.reasons if reason is not Reason.TONGUE)


def hidden_by(slur: SlurMeasure) -> Veil | None:
    """Say what hides how a slur went, where one of its figures is hidden; None where none is."""
    figures = (slur.quality, slur.silence_ms, slur.dip_db, slur.time_ms, slur.scoop_cents)
    return next((figure.why for figure in figures if isinstance(figure, Hidden)), None)
