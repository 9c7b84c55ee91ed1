"""Horn: from what the player holds down to the length of the tube and the pitches that it gives."""

from slurwright.horn.model import Horn, HornKind
from slurwright.horn.setting import Setting

__all__ = ["Horn", "HornKind", "Setting"]
