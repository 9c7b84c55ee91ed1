"""Ways: every (fingering, partial) that sounds a note on a horn, how far out it is, and why."""

from dataclasses import dataclass

from slurwright.horn import Setting

__all__ = ["Way"]


@dataclass(frozen=True, slots=True)
class Way:
    """One way to sound a note."""

    setting: Setting
    partial: int
    cents: float
    """Predicted tendency on this horn against equal temperament, + sharp [cents]."""
    cents_tube: float
    """From lengths and the harmonic series alone, every valve alone exact, no horn offset [cents]."""
    spread_cents: float
    """Standard deviation of `cents`: how well this horn is known [cents]."""
    normal: bool
    """True for the way that players are taught first."""
    usual: float
    """Chance that a player has this way at their fingers' command without practising it, 0..1 (prior)."""
    why: str
    """One plain sentence built from the parts of the figure."""

    @property
    def fingering(self) -> str:
        """Label of the setting."""
        return self.setting.fingering
