"""How a slurred move is made; by itself, so that what only reads the past need not load the plan."""

from enum import StrEnum

__all__ = ["Technique"]


class Technique(StrEnum):
    """How a slurred move is made."""

    PLAIN = "plain"
    LEGATO_TONGUE = "legato-tongue"
    HALF_VALVE = "half-valve"

    @property
    def said(self) -> str:
        """As players say it: "plain", "legato tongue", "half-valve"."""
        return self.value.replace("legato-", "legato ")
