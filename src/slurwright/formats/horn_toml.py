"""Instruments and readings as TOML text: read into a `Horn`, all faults gathered.

A model's file has an id, a name and a kind, then blocks, each with a `source` (published, common practice, from
memory, derived or provisional): `open` (pitch of partial 1, speed of sound for the lengths), `valves`, `sides`,
`compensation`, `slide`, `tuning`, `readings`, `range`, `normal`, `alternates`, `slides`. Pitches are sounding. A way
is written "fingering on partial": "1-2 on 4".
"""

import tomllib
from collections.abc import Callable, Iterable, Mapping
from functools import partial
from itertools import chain
from typing import Any

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
_Range = tuple[SoundingPitch, SoundingPitch]

_FAULTY = (SlurwrightError, LookupError, TypeError, ValueError, AttributeError)
"""What a block that cannot be read may raise."""

_ENTRIES: Mapping[str, frozenset[str]] = {
    "reading": frozenset({"name", "clef", "diatonic", "semitones"}),
    "open": frozenset({"pitch", "air_m_s"}),
    "valves": frozenset({"name", "semitones", "cut_with", "only_with", "hand"}),
    "sides": frozenset({"name", "semitones"}),
    "compensation": frozenset({"master", "through"}),
    "slide": frozenset({"travel_mm"}),
    "tuning": frozenset({"usual"}),
    "readings": frozenset({"ids"}),
    "range": frozenset({"comfortable", "possible"}),
    "normal": frozenset({"partials", "among", "needs_company", "listed"}),
    "alternates": frozenset({"same_partial", "other_partial", "listed"}),
    "slides": frozenset({"name", "out_mm", "in_mm", "step_mm", "kick"}),
}
"""What each block may hold beside its source."""

_BLOCKS = frozenset({"id", "name", "kind"}) | (_ENTRIES.keys() - {"reading"})


def parse_readings(text: str) -> dict[str, Reading]:
    """Read the table of readings.

    Args:
        text: TOML, a table per reading.

    Raises:
        HornError: not TOML, or a reading that lacks something.

    """
    table = _table(text, "readings")
    try:
        return {key: _reading(key, block) for key, block in table.items()}
    except _FAULTY as error:
        faults = (_faults_of(f"reading {key}", partial(_reading, key, block)) for key, block in table.items())
        raise HornError(faults=tuple(chain.from_iterable(faults))) from error


def _reading(key: str, block: _Block) -> Reading:
    """Make one reading."""
    _checked(block, "reading")
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
    try:
        plan = _plan(table, readings)
    except _FAULTY as error:
        raise HornError(faults=_all_faults(table, readings)) from error
    return build_horn(plan, tuning=tuning)


def _table(text: str, where: str) -> dict[str, Any]:
    """Parse TOML, saying what is wrong as our own error."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise HornError("not TOML", got=str(error), where=where) from error


def _faults_of(where: str, make: Callable[[], object]) -> tuple[Fault, ...]:
    """Say what is wrong with one block; empty if it can be read."""
    try:
        make()
    except SlurwrightError as error:
        return tuple(Fault(f.problem, f.got, f.allowed, f.where or where) for f in error.faults)
    except KeyError as error:
        return (Fault("missing entry", got=str(error), where=where),)
    except (IndexError, TypeError, ValueError, AttributeError) as error:
        return (Fault("entry of the wrong form", got=str(error), where=where),)
    return ()


def _checked(block: _Block, kind: str) -> _Block:
    """Insist that a block says where it is from and holds nothing unknown."""
    source = str(block["source"])
    if not source.startswith(SOURCES):
        raise HornError("a source of no known kind", got=repr(source), allowed=", ".join(SOURCES))
    unknown = sorted(block.keys() - _ENTRIES[kind] - {"source"})
    if unknown:
        raise HornError("no such entry", got=", ".join(unknown), allowed=", ".join(sorted(_ENTRIES[kind])))
    return block


def _between(value: object, least: float, most: float) -> float:
    """Read a number that must lie in a range; the range tells numbers that were meant from slips."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not least <= value <= most:
        raise HornError("not a number in range", got=repr(value), allowed=f"{least:g} to {most:g}")
    return float(value)


def _plan(table: _Block, readings: Mapping[str, Reading]) -> HornPlan:
    """Read every block of a model."""
    horn_id, name = _head(table)
    pitch, air_m_s = _open(table)
    comfortable, possible = _ranges(table)
    tubing = _tubing(table)
    return HornPlan(
        id=horn_id,
        name=name,
        kind=HornKind(table["kind"]),
        open_pitch=pitch,
        air_m_s=air_m_s,
        tubing=tubing,
        rule=_rule(table, tubing),
        readings=_readings(table, readings),
        comfortable=comfortable,
        possible=possible,
        tuning=str(_checked(table["tuning"], "tuning")["usual"]),
        travel_m=_travel_m(table),
        slides=tuple(_slide(block) for block in table.get("slides", ())),
        alternates=_alternates(table),
    )


def _all_faults(table: _Block, readings: Mapping[str, Reading]) -> tuple[Fault, ...]:
    """Gather the faults of every block of a model that cannot be read whole."""
    tubing_faults = _faults_of("valves", partial(_tubing, table))
    tubing = Tubing() if tubing_faults else _tubing(table)
    return (
        *_faults_of("head", partial(_head, table)),
        *_faults_of("kind", lambda: HornKind(table["kind"])),
        *_faults_of("open", partial(_open, table)),
        *tubing_faults,
        *(() if tubing_faults else _faults_of("normal", partial(_rule, table, tubing))),
        *_faults_of("readings", partial(_readings, table, readings)),
        *_faults_of("range", partial(_ranges, table)),
        *_faults_of("tuning", lambda: _checked(table["tuning"], "tuning")["usual"]),
        *_faults_of("slide", partial(_travel_m, table)),
        *_faults_of("slides", lambda: [_slide(block) for block in table.get("slides", ())]),
        *_faults_of("alternates", partial(_alternates, table)),
    )


def _head(table: _Block) -> tuple[str, str]:
    unknown = sorted(table.keys() - _BLOCKS)
    if unknown:
        raise HornError("no such block", got=", ".join(unknown), allowed=", ".join(sorted(_BLOCKS)))
    return str(table["id"]), str(table["name"])


def _open(table: _Block) -> tuple[SoundingPitch, float]:
    block = _checked(table["open"], "open")
    return SoundingPitch.named(block["pitch"]), _between(block["air_m_s"], 300.0, 400.0)


def _tubing(table: _Block) -> Tubing:
    valves = tuple(_valve(block) for block in table.get("valves", ()))
    sides = tuple(_side(block) for block in table.get("sides", ()))
    compensation = None
    if "compensation" in table:
        block = _checked(table["compensation"], "compensation")
        compensation = Compensation(str(block["master"]), tuple(block["through"]))
    names = [valve.name for valve in valves]
    if len(set(names)) < len(names):
        raise HornError("two valves of one name", got=", ".join(names))
    plain = {valve.name for valve in valves if not valve.cut_with}
    cut_with = [valve.cut_with for valve in valves if valve.cut_with]
    _must_be_among(cut_with, plain, "a valve to be cut with")
    used = [valve.only_with for valve in valves if valve.only_with]
    used += [compensation.master, *compensation.through] if compensation else []
    _must_be_among(used, set(names), "a valve to work with")
    return Tubing(valves, sides or (Side(),), compensation)


def _must_be_among(used: Iterable[str], names: set[str], what: str) -> None:
    """Refuse names of valves that the horn lacks."""
    unknown = sorted(set(used) - names)
    if unknown:
        raise HornError(f"no such valve as {what}", got=", ".join(unknown), allowed=", ".join(sorted(names)))


def _valve(block: _Block) -> Valve:
    _checked(block, "valves")
    return Valve(
        str(block["name"]),
        _between(block["semitones"], -6.0, 12.0),
        cut_with=str(block.get("cut_with", "")),
        only_with=str(block.get("only_with", "")),
        hand=str(block.get("hand", "right")),
    )


def _side(block: _Block) -> Side:
    _checked(block, "sides")
    return Side(str(block["name"]), _between(block["semitones"], 0.0, 12.0))


def _rule(table: _Block, tubing: Tubing) -> NormalRule:
    block = _checked(table["normal"], "normal")
    among = tuple(block.get("among", ()))
    company = {valve: tuple(others) for valve, others in dict(block.get("needs_company", {})).items()}
    names = {valve.name for valve in tubing.valves}
    _must_be_among((*among, *company, *chain.from_iterable(company.values())), names, "a valve of the rule")
    return NormalRule(
        partials=tuple(int(_between(number, 1, 32)) for number in block["partials"]),
        among=among,
        needs_company=company,
        listed={SoundingPitch.named(name).midi: _way(way) for name, way in dict(block.get("listed", {})).items()},
    )


def _alternates(table: _Block) -> AlternateRule:
    if "alternates" not in table:
        return AlternateRule()
    block = _checked(table["alternates"], "alternates")
    return AlternateRule(
        same_partial=tuple((str(taught), str(other)) for taught, other in block.get("same_partial", ())),
        other_partial=tuple((_way(one), _way(other)) for one, other in block.get("other_partial", ())),
        listed={
            SoundingPitch.named(name).midi: tuple(_way(way) for way in ways)
            for name, ways in dict(block.get("listed", {})).items()
        },
    )


def _way(text: str) -> tuple[str, int]:
    """Read "fingering on partial"."""
    fingering, joined, number = str(text).partition(" on ")
    if not joined:
        raise HornError("not a way", got=repr(text), allowed='"fingering on partial", such as "1-2 on 4"')
    return fingering, int(_between(int(number), 1, 32))


def _readings(table: _Block, readings: Mapping[str, Reading]) -> tuple[Reading, ...]:
    ids = _checked(table["readings"], "readings")["ids"]
    unknown = [one for one in ids if one not in readings]
    if unknown or not ids:
        raise HornError("no such reading", got=", ".join(unknown), allowed=", ".join(readings))
    return tuple(readings[one] for one in ids)


def _ranges(table: _Block) -> tuple[_Range, _Range]:
    """Read the comfortable and the possible range."""
    block = _checked(table["range"], "range")
    low, inner_low, inner_high, high = (
        SoundingPitch.named(name) for name in (block["possible"][0], *block["comfortable"], block["possible"][1])
    )
    if not low.midi <= inner_low.midi <= inner_high.midi <= high.midi:
        raise HornError("the comfortable range does not lie within the possible one")
    return (inner_low, inner_high), (low, high)


def _travel_m(table: _Block) -> float:
    """Read how far a hand slide goes; 0 on valves [m]."""
    if table["kind"] != HornKind.SLIDE:
        return 0.0
    return _between(_checked(table["slide"], "slide")["travel_mm"], 1.0, 2000.0) / 1000.0


def _slide(block: _Block) -> MovableSlide:
    _checked(block, "slides")
    return MovableSlide(
        str(block["name"]),
        out_m=_between(block["out_mm"], 0.0, 500.0) / 1000.0,
        in_m=_between(block["in_mm"], 0.0, 500.0) / 1000.0,
        step_m=_between(block["step_mm"], 0.01, 50.0) / 1000.0,
        kick=bool(block.get("kick", False)),
    )
