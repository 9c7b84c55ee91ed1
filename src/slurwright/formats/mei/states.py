"""What holds on a staff of MEI: key, metre, clef and transposition, from scoreDef, staffDef and signs in layers.

An octave sign on a clef is read as a transposition by that octave, so that the written pitch is where the plain
clef shows it. Clefs that brass parts do not use are replaced by the nearest that they do, with a notice.
"""

import re
from dataclasses import dataclass, replace

from slurwright.formats.mei.tree import children, local
from slurwright.formats.musicxml.faults import Log
from slurwright.formats.xmlsafe import Element
from slurwright.pitch import CONCERT, Clef, Transposition
from slurwright.score import Key, TimeSignature

__all__ = ["StaffState", "changed_by", "changed_by_sign"]

_KEY = re.compile(r"(\d)([fs])")
_NEAREST = {
    ("G", 2): Clef.TREBLE,
    ("F", 4): Clef.BASS,
    ("C", 3): Clef.ALTO,
    ("C", 4): Clef.TENOR,
    ("G", 1): Clef.TREBLE,
    ("F", 3): Clef.BASS,
    ("F", 5): Clef.BASS,
    ("C", 1): Clef.TREBLE,
    ("C", 2): Clef.ALTO,
    ("C", 5): Clef.BASS,
}
_USUAL_LINE = {"G": 2, "F": 4, "C": 3}
_EXACT = {("G", 2), ("F", 4), ("C", 3), ("C", 4)}
_OCTAVES = {"8": 1, "15": 2, "22": 3}
_STEPS_OF_SEMITONES = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)
"""Staff steps of an interval whose file gives semitones alone (common practice)."""


@dataclass(frozen=True, slots=True)
class StaffState:
    """Everything in force at one place of one staff."""

    key: Key = Key()  # noqa: RUF009  (frozen value)
    time: TimeSignature = TimeSignature()  # noqa: RUF009
    clef: Clef = Clef.TREBLE
    clef_octaves: int = 0
    """Octaves that the clef's sign shifts the sound."""
    transposition: Transposition = CONCERT
    states_transposition: bool = False


def changed_by(definition: Element, state: StaffState, log: Log) -> StaffState:
    """Take in a scoreDef or staffDef: its attributes first, then its child elements."""
    state = _key_of(definition.get("key.sig") or definition.get("keysig"), definition.get("key.mode"), state, log)
    state = _time_of(
        definition.get("meter.count"), definition.get("meter.unit"), definition.get("meter.sym"), state, log
    )
    if definition.get("clef.shape"):
        state = _clef_of(definition, "clef.", state, log)
    state = _transposition_of(definition.get("trans.diat"), definition.get("trans.semi"), state, log)
    for child in children(definition):
        state = changed_by_sign(child, state, log)
        if local(child) == "meterSigGrp":
            state = _time_group(child, state, log)
    return state


def changed_by_sign(element: Element, state: StaffState, log: Log) -> StaffState:
    """Take in a clef, keySig or meterSig element, wherever it stands; others change nothing."""
    name = local(element)
    if name == "clef":
        return _clef_of(element, "", state, log)
    if name == "keySig":
        return _key_of(element.get("sig"), element.get("mode"), state, log)
    if name == "meterSig":
        return _time_of(element.get("count"), element.get("unit"), element.get("sym"), state, log)
    return state


def _key_of(signs: str | None, mode: str | None, state: StaffState, log: Log) -> StaffState:
    if not signs:
        return state
    found = _KEY.fullmatch(signs.strip())
    if signs.strip() == "0":
        fifths = 0
    elif found and int(found[1]) <= 7:
        fifths = int(found[1]) if found[2] == "s" else -int(found[1])
    else:
        log.notice(f"key signature {signs!r} is shown as none; every accidental is written out")
        fifths = 0
    return replace(state, key=Key(fifths, mode or "major"))


def _time_of(count: str | None, unit: str | None, symbol: str | None, state: StaffState, log: Log) -> StaffState:
    if symbol in ("common", "cut") and not (count and unit):
        count, unit = ("4", "4") if symbol == "common" else ("2", "2")
    if not count and not unit:
        return state
    groups = [int(number) for number in re.findall(r"\d{1,3}", count or str(state.time.beats))]
    size = log.whole(unit, "beat type", low=1, high=128) if unit else state.time.beat_type
    if size is None:
        return state
    if size & (size - 1) or not groups or min(groups) == 0:
        log.fault("a time signature makes no sense", got=f"{count}/{unit}", allowed="3/4, 6/8, 3+2/8 …")
        return state
    sign = symbol if symbol in ("common", "cut") else ""
    return replace(state, time=TimeSignature(sum(groups), size, sign, tuple(groups) if len(groups) > 1 else ()))


def _time_group(group: Element, state: StaffState, log: Log) -> StaffState:
    signs = [child for child in children(group) if local(child) == "meterSig"]
    if group.get("func") not in ("mixed", None) or not signs:
        log.notice("of several time signatures at one place the first is taken")
        return changed_by_sign(signs[0], state, log) if signs else state
    times = [changed_by_sign(sign, state, log).time for sign in signs]
    common = max(time.beat_type for time in times)
    groups = tuple(time.beats * common // time.beat_type for time in times)
    return replace(state, time=TimeSignature(sum(groups), common, "", groups))


def _clef_of(element: Element, prefix: str, state: StaffState, log: Log) -> StaffState:
    shape, line, shift, side = (element.get(f"{prefix}{name}") for name in ("shape", "line", "dis", "dis.place"))
    if shape == "GG":
        shape, shift, side = "G", "8", "below"
    sign = (
        shape or "",
        int(line) if line and line.isdecimal() and len(line) < 3 else _USUAL_LINE.get(shape or "", 0),
    )
    if sign not in _NEAREST:
        log.notice(f"clef {shape or '?'} is none of a brass part; treble clef is shown")
    elif sign not in _EXACT:
        log.notice(f"clef {sign[0]} on line {sign[1]} is shown as {_NEAREST[sign]} clef")
    octaves = _OCTAVES.get(shift or "", 0) * (-1 if side == "below" else 1)
    if octaves:
        log.notice("the octave sign of the clef is read as a transposition by octaves")
    return replace(state, clef=_NEAREST.get(sign, Clef.TREBLE), clef_octaves=octaves)


def _transposition_of(steps: str | None, semitones: str | None, state: StaffState, log: Log) -> StaffState:
    if semitones is None:
        if steps is not None:
            log.notice("a transposition in steps without semitones is passed over")
        return state
    chromatic = log.whole(semitones.split(".")[0], "transposition", low=-48, high=48)
    if chromatic is None:
        return state
    inferred = _STEPS_OF_SEMITONES[abs(chromatic) % 12] + 7 * (abs(chromatic) // 12)
    diatonic = inferred if chromatic >= 0 else -inferred
    if steps is not None:
        stated = log.whole(steps.split(".")[0], "transposition by steps", low=-28, high=28)
        if stated is not None and abs(7 * chromatic - 12 * stated) <= 7:
            diatonic = stated
        elif stated is not None:
            log.notice(
                f"transposition by {stated} steps and {chromatic} semitones: the steps are taken as {diatonic}"
            )
    return replace(state, transposition=Transposition(diatonic, chromatic), states_transposition=True)
