"""What lengths of tube each setting is made of, and of what kind each is."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from slurwright.horn.model import Horn, HornKind
from slurwright.horn.setting import Setting

__all__ = ["Piece", "PieceKind", "Tube", "tubes_of"]


class PieceKind(StrEnum):
    """What a length of tube belongs to; each kind has its own prior."""

    VALVE = "valve"
    LOOP = "loop"
    SIDE = "side"
    HAND_SLIDE = "hand slide"


@dataclass(frozen=True, slots=True)
class Piece:
    """One length of tube beside the open horn's."""

    name: str
    kind: PieceKind
    added: float
    """Effective length over the open length of the main side; below zero on the shorter side of a double horn [1]."""


@dataclass(frozen=True, slots=True)
class Tube:
    """One setting as a sum of lengths."""

    fingering: str
    ratio: float
    """Effective length over the open length of the main side [1]."""
    pieces: tuple[Piece, ...]
    placed: bool
    """True where a hand slide takes part, so that the player places the length anew for each note."""
    least_ratio: float
    """Shortest that the hand slide makes it; `ratio` on valves [1]."""
    most_ratio: float
    """Longest that the hand slide makes it; `ratio` on valves [1]."""

    @property
    def side(self) -> float:
        """How much longer its side's open tube is than the main side's [1]."""
        return sum(piece.added for piece in self.pieces if piece.kind is PieceKind.SIDE)

    @property
    def valves(self) -> int:
        """How many valves are at work."""
        return sum(piece.kind is PieceKind.VALVE for piece in self.pieces)


def _kind(name: str) -> PieceKind:
    if name.startswith("open "):
        return PieceKind.SIDE
    return PieceKind(name) if name == PieceKind.HAND_SLIDE else PieceKind(name.split(" ", maxsplit=1)[0])


def _tube(setting: Setting, horn: Horn) -> Tube:
    pieces = tuple(
        Piece(name, kind, length - 1.0 if kind is PieceKind.SIDE else length)
        for name, length in setting.pieces
        if name != "open"
        for kind in (_kind(name),)
    )
    placed = horn.kind is HornKind.SLIDE
    closed = setting.ratio - sum(piece.added for piece in pieces if piece.kind is PieceKind.HAND_SLIDE)
    travel = 2.0 * horn.longest_slide_m / horn.open_length_m
    return Tube(
        fingering=setting.fingering,
        ratio=setting.ratio,
        pieces=pieces,
        placed=placed,
        least_ratio=closed if placed else setting.ratio,
        most_ratio=closed + travel if placed else setting.ratio,
    )


def tubes_of(horn: Horn) -> Mapping[str, Tube]:
    """Say of what lengths each fingering is made, in the horn's order."""
    return {setting.fingering: _tube(setting, horn) for setting in horn.settings}
