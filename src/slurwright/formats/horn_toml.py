"""Instruments and readings as TOML text: read into a `Horn`, all faults gathered.

A model's file has an id, a name and a kind, then blocks, each with a `source` (published, common practice, from
memory, derived or provisional): `open` (pitch of partial 1, speed of sound for the lengths), `valves`, `sides`,
`compensation`, `slide`, `tuning`, `readings`, `range`, `normal`, `alternates`, `slides`. Pitches are sounding. A way
is written "fingering on partial": "1-2 on 4".
"""

import tomllib
from collections.abc import Callable, Mapping
from functools import partial
from typing import Any, TypeVar

from slurwright.errors import Fault, HornError, SlurwrightError
from slurwright.horn.build import AlternateRule, HornPlan, build_horn
from slurwright.horn.model import Horn, HornKind, MovableSlide
from slurwright.horn.normal import NormalRule
from slurwright.horn.tubing import Compensation, Side, Tubing, Valve
from slurwright.pitch import Clef, Reading, SoundingPitch, Transposition

__all__ = ["SOURCES", "parse_horn", "parse_readings"]

SOURCES = ("published", "common practice", "from memory", "derived", "provisional")
"""How a block's source may begin."""

_Block = Mapping[str, Any]
_T = TypeVar("_T")


def parse_readings(text: str) -> dict[str, Reading]:
    """Read the table of readings.

    Args:
        text: TOML, a table per reading.

    Raises:
        HornError: not TOML, or a reading that lacks something.

    """
    faults: list[Fault] = []
    readings: dict[str, Reading] = {}
    for key, block in _table(text, "readings").items():
        made = _try(faults, f"reading {key}", partial(_reading, key, block))
        if made is not None:
            readings[key] = made
    if faults:
        raise HornError(faults=tuple(faults))
    return readings


def _reading(key: str, block: _Block) -> Reading:
    """Make one reading."""
    _sourced(block)
    return Reading(
        key, str(block["name"]), Clef(block["clef"]), Transposition(int(block["diatonic"]), int(block["semitones"]))
    )


def parse_horn(text: str, readings: Mapping[str, Reading], *, tuning: str | None = None) -> Horn:
    """Read one model and make the horn of it.

    Args:
        text: TOML of the model.
        readings: all readings that there are, by id.
        tuning: scheme of the valve slides; None takes the model's usual one.

    Raises:
        HornError: not TOML, a block that is missing or contradicts another, or a tuning that does not suit.

    """
    table = _table(text, "horn")
    faults: list[Fault] = []
    plan = _Plan(table, readings, faults).read()
    if plan is None:
        raise HornError(faults=tuple(faults))
    return build_horn(plan, tuning=tuning)


def _table(text: str, where: str) -> dict[str, Any]:
    """Parse TOML, saying what is wrong as our own error."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise HornError("not TOML", got=str(error), where=where) from error


def _try(faults: list[Fault], where: str, make: Callable[[], _T]) -> _T | None:
    """Make a value, or note why not and go on."""
    try:
        return make()
    except SlurwrightError as error:
        faults += [Fault(f.problem, f.got, f.allowed, f.where or where) for f in error.faults]
    except KeyError as error:
        faults.append(Fault("missing entry", got=str(error), where=where))
    except (TypeError, ValueError, AttributeError) as error:
        faults.append(Fault("entry of the wrong form", got=str(error), where=where))
    return None


def _sourced(block: _Block) -> None:
    """Insist that a block says where it is from."""
    source = str(block["source"])
    if not source.startswith(SOURCES):
        raise HornError("a source of no known kind", got=repr(source), allowed=", ".join(SOURCES))


class _Plan:
    """One pass over a model's blocks, gathering faults."""

    def __init__(self, table: _Block, readings: Mapping[str, Reading], faults: list[Fault]) -> None:
        self._table = table
        self._readings = readings
        self._faults = faults

    def read(self) -> HornPlan | None:
        """Give the plan, or None with the faults gathered."""
        head = self._part("head", lambda: (str(self._table["id"]), str(self._table["name"])))
        kind = self._part("kind", lambda: HornKind(self._table["kind"]))
        opened = self._part("open", self._open)
        tubing = self._part("valves", self._tubing)
        rule = self._part("normal", self._rule)
        readings = self._part("readings", self._read_readings)
        ranges = self._part("range", self._ranges)
        tuning = self._part("tuning", self._tuning)
        travel = self._part("slide", self._travel)
        slides = self._part("slides", self._slides)
        alternates = self._part("alternates", self._alternates)
        if (
            self._faults
            or head is None
            or kind is None
            or opened is None
            or tubing is None
            or rule is None
            or readings is None
            or ranges is None
            or tuning is None
            or travel is None
            or slides is None
            or alternates is None
        ):
            return None
        return HornPlan(
            id=head[0],
            name=head[1],
            kind=kind,
            open_pitch=opened[0],
            air_m_s=opened[1],
            tubing=tubing,
            rule=rule,
            readings=readings,
            comfortable=ranges[0],
            possible=ranges[1],
            tuning=tuning,
            travel_m=travel,
            slides=slides,
            alternates=alternates,
        )

    def _part(self, where: str, make: Callable[[], _T]) -> _T | None:
        return _try(self._faults, where, make)

    def _block(self, name: str) -> _Block:
        """Find a block that must be there, with its source."""
        block: _Block = self._table[name]
        _sourced(block)
        return block

    def _open(self) -> tuple[SoundingPitch, float]:
        block = self._block("open")
        return SoundingPitch.named(block["pitch"]), float(block["air_m_s"])

    def _tubing(self) -> Tubing:
        valves = tuple(self._valve(block) for block in self._table.get("valves", ()))
        sides = tuple(self._side(block) for block in self._table.get("sides", ()))
        compensation = None
        if "compensation" in self._table:
            block = self._block("compensation")
            compensation = Compensation(str(block["master"]), tuple(block["through"]))
        return Tubing(valves, sides or (Side(),), compensation)

    @staticmethod
    def _valve(block: _Block) -> Valve:
        _sourced(block)
        return Valve(
            str(block["name"]),
            float(block["semitones"]),
            cut_with=str(block.get("cut_with", "")),
            only_with=str(block.get("only_with", "")),
            hand=str(block.get("hand", "right")),
        )

    @staticmethod
    def _side(block: _Block) -> Side:
        _sourced(block)
        return Side(str(block["name"]), float(block["semitones"]))

    def _rule(self) -> NormalRule:
        block = self._block("normal")
        listed = {
            SoundingPitch.named(name).midi: self._way(way) for name, way in dict(block.get("listed", {})).items()
        }
        return NormalRule(
            partials=tuple(block["partials"]),
            among=tuple(block.get("among", ())),
            needs_company={valve: tuple(others) for valve, others in dict(block.get("needs_company", {})).items()},
            listed=listed,
        )

    def _alternates(self) -> AlternateRule:
        if "alternates" not in self._table:
            return AlternateRule()
        block = self._block("alternates")
        return AlternateRule(
            same_partial=tuple((str(taught), str(other)) for taught, other in block.get("same_partial", ())),
            other_partial=tuple((self._way(one), self._way(other)) for one, other in block.get("other_partial", ())),
            listed={
                SoundingPitch.named(name).midi: tuple(self._way(way) for way in ways)
                for name, ways in dict(block.get("listed", {})).items()
            },
        )

    @staticmethod
    def _way(text: str) -> tuple[str, int]:
        fingering, joined, number = str(text).partition(" on ")
        if not joined:
            raise HornError("not a way", got=repr(text), allowed='"fingering on partial", such as "1-2 on 4"')
        return fingering, int(number)

    def _read_readings(self) -> tuple[Reading, ...]:
        ids = self._block("readings")["ids"]
        unknown = [one for one in ids if one not in self._readings]
        if unknown or not ids:
            raise HornError("no such reading", got=", ".join(unknown), allowed=", ".join(self._readings))
        return tuple(self._readings[one] for one in ids)

    def _ranges(self) -> tuple[tuple[SoundingPitch, SoundingPitch], tuple[SoundingPitch, SoundingPitch]]:
        block = self._block("range")
        comfortable, possible = (
            tuple(SoundingPitch.named(name) for name in block[key]) for key in ("comfortable", "possible")
        )
        low, high = possible
        inner_low, inner_high = comfortable
        if not low.midi <= inner_low.midi <= inner_high.midi <= high.midi:
            raise HornError("the comfortable range does not lie within the possible one", where="range")
        return (inner_low, inner_high), (low, high)

    def _tuning(self) -> str:
        return str(self._block("tuning")["usual"])

    def _travel(self) -> float:
        if self._table.get("kind") != HornKind.SLIDE:
            return 0.0
        return float(self._block("slide")["travel_mm"]) / 1000.0

    def _slides(self) -> tuple[MovableSlide, ...]:
        return tuple(self._slide(block) for block in self._table.get("slides", ()))

    @staticmethod
    def _slide(block: _Block) -> MovableSlide:
        _sourced(block)
        return MovableSlide(
            str(block["name"]),
            out_m=float(block["out_mm"]) / 1000.0,
            in_m=float(block["in_mm"]) / 1000.0,
            step_m=float(block["step_mm"]) / 1000.0,
            kick=bool(block.get("kick", False)),
        )
