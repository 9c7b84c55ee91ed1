"""What do directions say: dynamics, hairpins, tempo, words and signs of one `<direction>` or `<sound>`.

A tempo is the number that `<sound>` states, else that of the metronome mark. A mark that the file hides, or states
for playback alone, is kept as a direction that is not printed.
"""

import re
from dataclasses import dataclass, field
from fractions import Fraction

from slurwright.formats.musicxml.bars import jumps_of_sound, jumps_of_words
from slurwright.formats.musicxml.faults import Log
from slurwright.formats.xmlsafe import Element
from slurwright.score import Direction, DirectionKind, Jump
from slurwright.score.dynamics import level_of_mark
from slurwright.score.tempo import beats_per_minute_of_words, is_return_of_tempo
from slurwright.score.values import NOTE_TYPES

__all__ = ["Wedge", "Worded", "read_direction", "read_sound"]

_NUMBER = re.compile(r"[0-9]{1,4}(?:\.[0-9]{1,4})?")
_PLAYBACK_LEVELS = (
    (28.0, "ppp"),
    (42.0, "pp"),
    (62.0, "p"),
    (80.0, "mp"),
    (98.0, "mf"),
    (115.0, "f"),
    (132.0, "ff"),
)
"""Highest playback level of each mark, in percent of a forte of velocity 90 (common practice)."""


@dataclass(frozen=True, slots=True)
class Wedge:
    """The start or the end of a hairpin."""

    type: str
    """"crescendo", "diminuendo" or "stop"."""
    number: str
    place: Fraction
    staff: int


@dataclass(slots=True)
class Worded:
    """What one direction gave."""

    directions: list[Direction] = field(default_factory=list)
    wedges: list[Wedge] = field(default_factory=list)
    jumps: list[Jump] = field(default_factory=list)
    bare_codas: int = 0
    staff: int = 0
    """0 when the direction names none."""


@dataclass(slots=True)
class _Metronome:
    unit: str
    per_minute: float

    @property
    def qpm(self) -> float:
        base = self.unit.rstrip(".")
        dots = len(self.unit) - len(base)
        return float(NOTE_TYPES[base] * (2 - Fraction(1, 2**dots))) * self.per_minute


@dataclass(slots=True)
class _Seen:
    """The direction types of one direction, before they are put together."""

    words: list[str] = field(default_factory=list)
    hidden_words: list[str] = field(default_factory=list)
    dynamics: list[tuple[str, bool]] = field(default_factory=list)
    rehearsals: list[str] = field(default_factory=list)
    wedges: list[tuple[str, str]] = field(default_factory=list)
    metronome: _Metronome | None = None
    metronome_printed: bool = True
    segno: bool = False
    codas: int = 0


def read_direction(element: Element, measure: int, place: Fraction, divisions: Fraction, log: Log) -> Worded:
    """Read one `<direction>`.

    Args:
        element: the `<direction>`.
        measure: index of its measure [1].
        place: where it stands [quarters].
        divisions: of a quarter, for its offset [1].
        log: takes faults and notices.

    """
    seen = _Seen()
    sound: Element | None = None
    worded = Worded()
    shifted = place
    for child in element:
        tag = child.tag
        if tag == "direction-type":
            for kind in child:
                _see(kind, seen, log)
        elif tag == "sound":
            sound = child
        elif tag == "staff":
            worded.staff = log.whole(child.text, "staff", low=1, high=20) or 0
        elif tag == "offset":
            shifted = _shifted(child, place, divisions)
            if child.get("sound") == "yes":
                place = shifted
    above = element.get("placement", "above") != "below"
    worded.wedges = [Wedge(type_, number, shifted, worded.staff) for type_, number in seen.wedges]
    _add_jumps(seen, sound, worded)
    _add_tempo_or_words(seen, sound, worded, measure, place, above=above)
    for text, printed in seen.dynamics:
        worded.directions.append(Direction(DirectionKind.DYNAMIC, measure, place, text, above=above, printed=printed))
    worded.directions += [Direction(DirectionKind.REHEARSAL, measure, place, text) for text in seen.rehearsals]
    if sound is not None and not seen.dynamics:
        _add_playback_level(sound, worded, measure, place)
    return worded


def read_sound(sound: Element, measure: int, place: Fraction) -> Worded:
    """Read a `<sound>` that stands by itself in a measure.

    Args:
        sound: the `<sound>`.
        measure: index of its measure [1].
        place: where it stands [quarters].

    """
    worded = Worded()
    _add_jumps(_Seen(), sound, worded)
    _add_tempo_or_words(_Seen(), sound, worded, measure, place, above=True)
    _add_playback_level(sound, worded, measure, place)
    return worded


def _shifted(element: Element, place: Fraction, divisions: Fraction) -> Fraction:
    found = re.fullmatch(r"\s*([+-]?[0-9]{1,6})(?:\.[0-9]*)?\s*", element.text or "")
    return max(Fraction(0), place + Fraction(int(found.group(1))) / divisions) if found else place


def _see(kind: Element, seen: _Seen, log: Log) -> None:
    tag = kind.tag
    printed = kind.get("print-object") != "no"
    if tag == "words":
        text = " ".join((kind.text or "").split())
        if text:
            (seen.words if printed else seen.hidden_words).append(text)
    elif tag == "dynamics":
        seen.dynamics += [(text, printed) for text in dynamic_texts(kind)]
    elif tag == "wedge":
        seen.wedges.append((kind.get("type", ""), kind.get("number", "1")))
    elif tag == "metronome":
        _see_metronome(kind, seen, log)
        seen.metronome_printed = printed
    elif tag == "rehearsal":
        text = " ".join((kind.text or "").split())
        if text:
            seen.rehearsals.append(text)
    elif tag == "segno":
        seen.segno = True
    elif tag == "coda":
        seen.codas += 1
    elif tag == "octave-shift" and kind.get("type") in {"up", "down"}:
        log.notice("an octave line is written out: the notes stand where they sound")


def dynamic_texts(element: Element) -> list[str]:
    """Name the marks in a `<dynamics>`: "mf", "sfz"; words of others as they stand.

    Args:
        element: the `<dynamics>`.

    """
    texts = []
    for mark in element:
        text = (mark.text or "").strip() if mark.tag == "other-dynamics" else str(mark.tag)
        if text:
            texts.append(text)
    joined = "".join(texts)
    # Some programs write "fp" or "sffz" as several marks side by side.
    return [joined] if len(texts) > 1 and level_of_mark(joined) is not None else texts


def _see_metronome(element: Element, seen: _Seen, log: Log) -> None:
    unit, found = (element.findtext("beat-unit") or "").strip(), _NUMBER.search(element.findtext("per-minute") or "")
    if unit not in NOTE_TYPES or found is None or float(found.group()) == 0.0:
        log.notice("a metronome mark without a plain number is passed over")
        return
    dots = 0
    for child in element:
        if child.tag == "per-minute":
            break
        dots += child.tag == "beat-unit-dot"
    seen.metronome = _Metronome(unit + "." * min(dots, 3), float(found.group()))


def _add_jumps(seen: _Seen, sound: Element | None, worded: Worded) -> None:
    jumps = jumps_of_sound(sound) if sound is not None else []
    text = " ".join(seen.words + seen.hidden_words)
    if text:
        jumps += [jump for jump in jumps_of_words(text) if jump not in jumps]
    if seen.segno and not {Jump.SEGNO, Jump.DAL_SEGNO} & set(jumps):
        jumps.append(Jump.SEGNO)
    worded.jumps = jumps
    if seen.codas and not {Jump.CODA, Jump.TO_CODA} & set(jumps):
        worded.bare_codas = seen.codas


def _add_tempo_or_words(
    seen: _Seen, sound: Element | None, worded: Worded, measure: int, place: Fraction, *, above: bool
) -> None:
    """Make words and metronome mark one tempo where they are one; else plain words."""
    stated = _NUMBER.fullmatch((sound.get("tempo") or "").strip()) if sound is not None else None
    stated_qpm = float(stated.group()) if stated else 0.0
    metronome = seen.metronome
    text = " ".join(seen.words)
    hidden = not text and (metronome is None or not seen.metronome_printed)
    all_words = text or " ".join(seen.hidden_words)
    names_tempo = beats_per_minute_of_words(all_words) is not None or is_return_of_tempo(all_words)
    if stated_qpm > 0 or metronome is not None or (all_words and names_tempo):
        qpm = stated_qpm if stated_qpm > 0 else metronome.qpm if metronome is not None else None
        shown = metronome if metronome is not None and seen.metronome_printed else None
        worded.directions.append(
            Direction(
                DirectionKind.TEMPO,
                measure,
                place,
                all_words,
                tempo_qpm=qpm,
                tempo_unit=shown.unit if shown else "",
                tempo_per_minute=shown.per_minute if shown else None,
                above=above,
                printed=not hidden,
            )
        )
        return
    worded.directions += [Direction(DirectionKind.WORDS, measure, place, words, above=above) for words in seen.words]


def _add_playback_level(sound: Element, worded: Worded, measure: int, place: Fraction) -> None:
    """Keep a level that stands for playback alone, as a mark that is not printed."""
    found = _NUMBER.fullmatch((sound.get("dynamics") or "").strip())
    if found is None:
        return
    level = float(found.group())
    text = next((mark for limit, mark in _PLAYBACK_LEVELS if level <= limit), "fff")
    worded.directions.append(Direction(DirectionKind.DYNAMIC, measure, place, text, printed=False))
