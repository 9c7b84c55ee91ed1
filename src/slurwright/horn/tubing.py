"""Which tubes a setting joins together, and how long that makes the air column.

Lengths are effective lengths (c / 2 f1), counted in open lengths of the horn's main side. A valve that alone
lowers the open horn by s semitones has the added length a(s) = 2^(s/12) - 1 (derived from the halving of the
frequency with the doubling of the length). Together, on a horn whose valve m is the compensating master,

    L / L0 = 1 + sum p_i a_i + p_m (a_m + sum p_i l_i),   ideal loops l_i = a_i a_m      (derived)

A valve may be cut for the horn with another valve down (a flat whole step: a(2) (1 + a(5))), may remove tube
(an ascending valve: semitones below zero) and may work only beside another one (a dependent rotor). The sides
of a double horn have each their own open tube and their own set of loops, cut for that side.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations

from slurwright.horn.setting import Setting

__all__ = [
    "Compensation",
    "Side",
    "Tubing",
    "Valve",
    "added_length",
    "exact_lengths",
    "loop_lengths",
    "pieces_of",
    "ratio_of",
    "valved_settings",
]


@dataclass(frozen=True, slots=True)
class Valve:
    """One valve: what it does alone, and which finger works it."""

    name: str
    """As fingerings name it: "1", "4", "T"."""
    semitones: float
    """How far it lowers the horn that it is cut for; below zero it raises (ascending valve) [semitones]."""
    cut_with: str = ""
    """Cut for the horn with this other valve down; "" for the open horn."""
    only_with: str = ""
    """Works only while this other valve is down (dependent rotor); "" if it works alone."""
    hand: str = "right"
    """"right" or "left"."""


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a double horn; the only side of any other."""

    name: str = ""
    """"" for the main side, "T" for the one that the thumb turns on."""
    semitones: float = 0.0
    """How far its open tube sounds above the main side's [semitones]."""

    @property
    def open_ratio(self) -> float:
        """Open length over that of the main side [1]."""
        return float(2.0 ** (-self.semitones / 12.0))


@dataclass(frozen=True, slots=True)
class Compensation:
    """A master valve that sends the air through second loops on other valves."""

    master: str
    through: tuple[str, ...]
    """Valves that have a second loop."""


@dataclass(frozen=True, slots=True)
class Tubing:
    """All the tube of a horn that can be switched."""

    valves: tuple[Valve, ...] = ()
    sides: tuple[Side, ...] = (Side(),)
    compensation: Compensation | None = None

    def valve(self, name: str) -> Valve:
        """Find a valve by its name; a name that it lacks is a fault of the caller."""
        return next(valve for valve in self.valves if valve.name == name)


def added_length(semitones: float) -> float:
    """How much tube lowers the open horn so far, as a fraction of its open length [1].

    Args:
        semitones: wanted lowering, below zero to raise [semitones].

    """
    return float(2.0 ** (semitones / 12.0) - 1.0)


def exact_lengths(tubing: Tubing) -> dict[str, float]:
    """How long each valve's tube is when it is exact alone, in open lengths of its side.

    Returns:
        Valve name to added length [1].

    """
    lengths: dict[str, float] = {}
    for valve in sorted(tubing.valves, key=lambda valve: bool(valve.cut_with)):
        base = 1.0 + (lengths[valve.cut_with] if valve.cut_with else 0.0)
        lengths[valve.name] = added_length(valve.semitones) * base
    return lengths


def loop_lengths(tubing: Tubing) -> dict[str, float]:
    """How long the second loops of a compensating horn are, in open lengths; empty without compensation.

    Returns:
        Valve name to length of its second loop [1].

    """
    if tubing.compensation is None:
        return {}
    exact = exact_lengths(tubing)
    return {name: exact[name] * exact[tubing.compensation.master] for name in tubing.compensation.through}


def pieces_of(
    tubing: Tubing, pressed: frozenset[str], *, side: Side | None = None, lengths: Mapping[str, float]
) -> tuple[tuple[str, float], ...]:
    """Which pieces of tube the air goes through, open tube first.

    Args:
        tubing: the horn's tubes.
        pressed: names of the valves that are down, the thumb of a double horn left out.
        side: which side; None for the main one.
        lengths: added length of each valve, in open lengths of its side [1].

    Returns:
        (name, length) pairs in open lengths of the main side [1].

    """
    side = side or tubing.sides[0]
    tail = f" {side.name}" if side.name else ""
    pieces = [(f"open{tail}", side.open_ratio)]
    pieces += [
        (f"valve {valve.name}{tail}", lengths[valve.name] * side.open_ratio)
        for valve in tubing.valves
        if valve.name in pressed
    ]
    compensation = tubing.compensation
    if compensation is not None and compensation.master in pressed:
        loops = loop_lengths(tubing)
        pieces += [
            (f"loop {name}{tail}", loops[name] * side.open_ratio) for name in compensation.through if name in pressed
        ]
    return tuple(pieces)


def ratio_of(pieces: tuple[tuple[str, float], ...]) -> float:
    """How long the air column is, in open lengths of the main side [1].

    Args:
        pieces: what `pieces_of` gave [1].

    """
    return sum(length for _, length in pieces)


def pressable(tubing: Tubing) -> Iterator[frozenset[str]]:
    """Yield every set of valves that can be down together, fewest first and lowest names first."""
    names = [valve.name for valve in tubing.valves]
    needs = {valve.name: valve.only_with for valve in tubing.valves if valve.only_with}
    for count in range(len(names) + 1):
        for chosen in combinations(names, count):
            if all(needs[name] in chosen for name in chosen if name in needs):
                yield frozenset(chosen)


def label_of(tubing: Tubing, pressed: frozenset[str], side: Side) -> str:
    """Write a fingering as players do: "0", "1-2", "T1-2"."""
    return side.name + ("-".join(valve.name for valve in tubing.valves if valve.name in pressed) or "0")


def valved_settings(tubing: Tubing, lengths: Mapping[str, float]) -> tuple[Setting, ...]:
    """Every setting of a valved horn, main side first, fewest valves first.

    Args:
        tubing: the horn's tubes.
        lengths: added length of each valve as its slide is set, in open lengths of its side [1].

    """
    exact = exact_lengths(tubing)
    settings = []
    for side in tubing.sides:
        for pressed in pressable(tubing):
            pieces = pieces_of(tubing, pressed, side=side, lengths=lengths)
            as_cut = pieces if lengths == exact else pieces_of(tubing, pressed, side=side, lengths=exact)
            settings.append(
                Setting(
                    fingering=label_of(tubing, pressed, side),
                    pressed=pressed | {side.name} if side.name else pressed,
                    ratio=ratio_of(pieces),
                    exact_ratio=ratio_of(as_cut),
                    side=side.name,
                    pieces=pieces,
                )
            )
    return tuple(settings)
