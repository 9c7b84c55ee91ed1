"""Which key, time, clef and transposition hold where: the `<attributes>` of a part, kept by place.

An octave sign on a clef is read as a transposition by that octave, so that the written pitch is always where the
plain clef shows it. A clef that brass parts do not use is replaced by the nearest that they do, with a notice.
"""

import re
from dataclasses import dataclass, field
from fractions import Fraction

from slurwright.formats.musicxml.course import Course
from slurwright.formats.musicxml.faults import Log
from slurwright.formats.xmlsafe import Element
from slurwright.pitch import CONCERT, Clef, Transposition
from slurwright.score import Key, TimeSignature

__all__ = ["SignedClef", "States", "read_attributes"]

_STEPS_OF_SEMITONES = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)
"""Staff steps of an interval whose file gives semitones alone (common practice)."""
_CLEFS: dict[tuple[str, int], tuple[Clef, bool]] = {
    ("G", 2): (Clef.TREBLE, True),
    ("F", 4): (Clef.BASS, True),
    ("C", 3): (Clef.ALTO, True),
    ("C", 4): (Clef.TENOR, True),
    ("G", 1): (Clef.TREBLE, False),
    ("F", 3): (Clef.BASS, False),
    ("F", 5): (Clef.BASS, False),
    ("C", 1): (Clef.TREBLE, False),
    ("C", 2): (Clef.ALTO, False),
    ("C", 5): (Clef.BASS, False),
}
_USUAL_LINE = {"G": 2, "F": 4, "C": 3}
_BEATS = re.compile(r"[0-9]{1,3}(?:\+[0-9]{1,3})*")
_MODES = {"major", "minor", "dorian", "phrygian", "lydian", "mixolydian", "aeolian", "ionian", "locrian"}


@dataclass(frozen=True, slots=True)
class SignedClef:
    """A clef and how many octaves its sign shifts the sound."""

    clef: Clef = Clef.TREBLE
    octaves: int = 0


@dataclass(slots=True)
class States:
    """Everything that `<attributes>` say about a part; clef and transposition also by staff (0 for all)."""

    keys: Course[Key] = field(default_factory=lambda: Course(Key()))
    times: Course[TimeSignature] = field(default_factory=lambda: Course(TimeSignature()))
    clefs: dict[int, Course[SignedClef]] = field(default_factory=dict)
    transpositions: dict[int, Course[Transposition]] = field(default_factory=dict)
    states_transposition: bool = False

    def clef_course(self, staff: int) -> Course[SignedClef]:
        """Clefs of a staff."""
        return self.clefs.setdefault(staff, Course(SignedClef()))

    def transposition_course(self, staff: int) -> Course[Transposition]:
        """Transpositions of a staff: its own, or those for all staves."""
        if staff in self.transpositions:
            return self.transpositions[staff]
        return self.transpositions.setdefault(0, Course(CONCERT))


def read_attributes(element: Element, place: Fraction, states: States, log: Log) -> Fraction | None:
    """Take in one `<attributes>`; give its divisions if it states any [1 a quarter].

    Args:
        element: the `<attributes>`.
        place: where it stands [quarters].
        states: what is known so far; added to.
        log: takes faults and notices.

    """
    divisions = None
    for child in element:
        tag = child.tag
        if tag == "divisions":
            divisions = log.length(child.text, "divisions")
        elif tag == "key":
            states.keys.put(place, _key(child, log))
        elif tag == "time":
            if (time := _time(child, log)) is not None:
                states.times.put(place, time)
        elif tag == "clef":
            staff = _staff(child, default=1)
            states.clef_course(staff).put(place, _clef(child, log))
        elif tag == "transpose":
            transposition = _transposition(child, log)
            if transposition is not None:
                states.states_transposition = True
                staff = _staff(child, default=0)
                states.transpositions.setdefault(staff, Course(CONCERT)).put(place, transposition)
        elif tag == "measure-style":
            _measure_style(child, log)
    return divisions


def _staff(element: Element, *, default: int) -> int:
    text = element.get("number", "").strip()
    return int(text) if text.isdecimal() and len(text) < 4 else default


def _key(element: Element, log: Log) -> Key:
    if element.find("fifths") is None:
        log.notice("a key signature of single accidentals is shown as none; every accidental is written out")
        return Key()
    fifths = log.whole(element.findtext("fifths"), "key signature", low=-14, high=14) or 0
    if abs(fifths) > 7:
        log.notice(f"a key of {abs(fifths)} accidentals is written with its enharmonic neighbour")
        fifths -= 12 if fifths > 0 else -12
    mode = (element.findtext("mode") or "major").strip().lower()
    return Key(fifths, mode if mode in _MODES else "major")


def _time(element: Element, log: Log) -> TimeSignature | None:
    if element.find("senza-misura") is not None:
        log.notice("senza misura: no time signature holds here; measures are taken as long as they are written")
        return None
    beats, types = element.findall("beats"), element.findall("beat-type")
    if len(beats) != len(types) or not beats:
        log.fault("a time signature is incomplete", got=f"{len(beats)} beats, {len(types)} beat types")
        return None
    groups: list[int] = []
    units: list[int] = []
    for beat, unit in zip(beats, types, strict=True):
        text = "".join((beat.text or "").split())
        found = _BEATS.fullmatch(text)
        size = log.whole(unit.text, "beat type", low=1, high=1024)
        if found is None or min(map(int, text.split("+"))) == 0:
            log.fault("beats of a time signature make no sense", got=repr(beat.text), allowed="3, 4, 3+2 …")
            return None
        if size is None:
            return None
        if size & (size - 1):
            log.fault("beat type makes no sense", got=repr(unit.text or ""), allowed="1, 2, 4, 8, 16 …")
            return None
        groups += [int(number) for number in text.split("+")]
        units += [size] * (len(groups) - len(units))
    common = max(units)
    groups = [group * common // unit for group, unit in zip(groups, units, strict=True)]
    symbol = element.get("symbol", "")
    return TimeSignature(
        beats=sum(groups),
        beat_type=common,
        symbol=symbol if symbol in {"common", "cut"} else "",
        groups=tuple(groups) if len(groups) > 1 else (),
    )


def _clef(element: Element, log: Log) -> SignedClef:
    sign = (element.findtext("sign") or "").strip()
    line_text = element.findtext("line")
    line = log.whole(line_text, "clef line", low=-9, high=9) if line_text else None
    octaves_text = element.findtext("clef-octave-change")
    octaves = (log.whole(octaves_text, "clef octave", low=-3, high=3) or 0) if octaves_text else 0
    found = _CLEFS.get((sign, line if line is not None else _USUAL_LINE.get(sign, 0)))
    if found is None:
        if element.get("print-object") != "no":
            log.notice(f"clef {sign or '?'} is none of a brass part; treble clef is shown")
        return SignedClef(Clef.TREBLE, octaves)
    clef, exact = found
    if not exact:
        log.notice(f"clef {sign} on line {line} is shown as {clef} clef")
    if octaves:
        log.notice("the octave sign of the clef is read as a transposition by octaves")
    return SignedClef(clef, octaves)


def _transposition(element: Element, log: Log) -> Transposition | None:
    text = element.findtext("chromatic")
    chromatic = log.whole(text.split(".")[0] if text else text, "transposition", low=-48, high=48)
    if chromatic is None:
        return None
    diatonic_text, octave_text = element.findtext("diatonic"), element.findtext("octave-change")
    octaves = (log.whole(octave_text, "transposition by octaves", low=-4, high=4) or 0) if octave_text else 0
    inferred = _STEPS_OF_SEMITONES[abs(chromatic) % 12] + 7 * (abs(chromatic) // 12)
    diatonic = inferred if chromatic >= 0 else -inferred
    if diatonic_text:
        stated = log.whole(diatonic_text, "transposition by steps", low=-28, high=28)
        if stated is None:
            return None
        # An interval further round the circle of fifths than this would ask for double accidentals everywhere.
        if abs(7 * chromatic - 12 * stated) <= 7:
            diatonic = stated
        else:
            log.notice(
                f"transposition by {stated} steps and {chromatic} semitones: the steps are taken as {diatonic}"
            )
    if element.find("double") is not None:
        log.notice("the part is doubled at the octave; the doubling is passed over")
    return Transposition(diatonic + 7 * octaves, chromatic + 12 * octaves)


def _measure_style(element: Element, log: Log) -> None:
    for style in ("measure-repeat", "beat-repeat", "slash"):
        found = element.find(style)
        if found is not None and found.get("type") == "start":
            log.notice(f"{style.replace('-', ' ')} signs are not written out")
