"""What stands between the notes of a measure: dynamics, hairpins, tempo, words, rehearsal marks and jumps."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from slurwright.formats.musicxml.bars import jumps_of_words
from slurwright.formats.musicxml_writer.element import Element, child, dotted, in_divisions, number
from slurwright.score import Direction, DirectionKind, Hairpin, Jump, Measure, Part
from slurwright.score.values import NOTE_TYPES

__all__ = ["Sign", "direction_element", "signs_by_measure"]

_ACCENTS = {"fp", "fz", "rf", "rfz", "sf", "sffz", "sfp", "sfpp", "sfz", "sfzp"}
_DYNAMICS = {"mf", "mp", "n", "pf", *_ACCENTS, *("p" * n for n in range(1, 7)), *("f" * n for n in range(1, 7))}
"""Marks for which MusicXML has an element."""
_PLAYBACK = {"ppp": 20, "pp": 35, "p": 50, "mp": 70, "mf": 90, "f": 107, "ff": 125, "fff": 140}
"""Level for playback that stands for a mark which is not printed, in the middle of what is read as that mark
[percent of a forte of velocity 90]. Common practice."""
_JUMP_SOUNDS = {
    Jump.SEGNO: {"segno": "segno"},
    Jump.CODA: {"coda": "coda"},
    Jump.TO_CODA: {"tocoda": "coda"},
    Jump.DA_CAPO: {"dacapo": "yes"},
    Jump.DAL_SEGNO: {"dalsegno": "segno"},
    Jump.FINE: {"fine": "yes"},
}
_JUMP_SIGNS = {Jump.SEGNO: "segno", Jump.CODA: "coda", Jump.TO_CODA: "coda"}
_JUMP_WORDS = {Jump.DA_CAPO: "D.C.", Jump.DAL_SEGNO: "D.S.", Jump.FINE: "Fine"}
_LANDINGS = frozenset({Jump.SEGNO, Jump.CODA})
_MOST_NUMBERS = 16


@dataclass(frozen=True, slots=True)
class Sign:
    """A `<direction>` before it is put at its place."""

    place: Fraction
    """Where it counts [quarters]."""
    above: bool
    types: tuple[Callable[[Element], None], ...]
    """Each fills one `<direction-type>`."""
    sound: tuple[tuple[str, str], ...] = ()
    """Attributes of its `<sound>`."""


def signs_by_measure(part: Part) -> list[list[Sign]]:
    """Sort all signs of a part into its measures, each in order of place."""
    found: list[list[Sign]] = [_jump_signs(part, measure) for measure in part.measures]
    for measure, sign in _hairpin_signs(part):
        found[measure].append(sign)
    for direction in part.directions:
        stated = _direction_sign(direction)
        if stated is not None and 0 <= direction.measure < len(found):
            found[direction.measure].append(stated)
    return [sorted(signs, key=lambda sign: sign.place) for signs in found]


def direction_element(parent: Element, sign: Sign, offset: Fraction, divisions: int) -> None:
    """Append a sign that counts at so much behind the place where it stands in the file.

    Args:
        parent: the measure.
        sign: any sign.
        offset: may be negative [quarters].
        divisions: of a quarter [1].

    """
    element = child(parent, "direction", attributes={"placement": "above" if sign.above else "below"})
    for fill in sign.types:
        fill(child(element, "direction-type"))
    if offset:
        child(element, "offset", in_divisions(offset, divisions), {"sound": "yes"})
    if sign.sound:
        child(element, "sound", attributes=dict(sign.sound))


def _filler(tag: str, text: str = "", attributes: dict[str, str] | None = None) -> Callable[[Element], None]:
    def fill(element: Element) -> None:
        child(element, tag, text, attributes)

    return fill


def _jump_signs(part: Part, measure: Measure) -> list[Sign]:
    """Signs for those jumps of a measure that no words in it state."""
    said = {
        jump
        for direction in part.directions
        if direction.measure == measure.index and direction.kind is DirectionKind.WORDS
        for jump in jumps_of_words(direction.text)
    }
    end = measure.onset_quarter + measure.duration_quarter
    return [
        Sign(
            measure.onset_quarter if jump in _LANDINGS else end,
            True,  # noqa: FBT003  above the staff, as all jumps
            (_filler(_JUMP_SIGNS[jump]) if jump in _JUMP_SIGNS else _filler("words", _JUMP_WORDS[jump]),),
            tuple(_JUMP_SOUNDS[jump].items()),
        )
        for jump in measure.jumps
        if jump not in said
    ]


def _hairpin_signs(part: Part) -> Iterator[tuple[int, Sign]]:
    opened: dict[int, Hairpin] = {}
    for pin in sorted(part.hairpins, key=lambda each: (each.start_quarter, each.end_quarter)):
        for taken, other in list(opened.items()):
            if other.end_quarter <= pin.start_quarter:
                del opened[taken]
        free = next(each for each in range(1, len(opened) + 2) if each not in opened)
        opened[free] = pin
        level = str(min(free, _MOST_NUMBERS))
        for type_, place in (
            ("crescendo" if pin.grows else "diminuendo", pin.start_quarter),
            ("stop", pin.end_quarter),
        ):
            fill = _filler("wedge", attributes={"type": type_, "number": level})
            yield _measure_at(part, place, ends=type_ == "stop"), Sign(place, False, (fill,))  # noqa: FBT003


def _measure_at(part: Part, place: Fraction, *, ends: bool) -> int:
    """Measure in which a place lies; what ends at a bar line ends in the measure before it."""
    for measure in part.measures:
        end = measure.onset_quarter + measure.duration_quarter
        if place < end or (ends and place == end):
            return measure.index
    return len(part.measures) - 1


def _direction_sign(direction: Direction) -> Sign | None:
    """None for what MusicXML cannot say: text that is hidden and states nothing to play."""
    types: list[Callable[[Element], None]] = []
    sound: dict[str, str] = {}
    text = " ".join(direction.text.split())
    if direction.kind is DirectionKind.TEMPO:
        _fill_tempo(direction, text, types, sound)
    elif not text:
        return None
    elif direction.kind is DirectionKind.DYNAMIC:
        if direction.printed:
            types.append(_dynamic_filler(text))
        elif text in _PLAYBACK:
            sound["dynamics"] = str(_PLAYBACK[text])
    elif direction.printed:
        types.append(_filler("rehearsal" if direction.kind is DirectionKind.REHEARSAL else "words", text))
        if direction.kind is DirectionKind.WORDS:
            for jump in jumps_of_words(text):
                sound.update(_JUMP_SOUNDS[jump])
    if not types and not sound:
        return None
    # A direction must show something: words without text show nothing.
    types = types or [_filler("words")]
    return Sign(direction.onset_quarter, direction.above, tuple(types), tuple(sound.items()))


def _dynamic_filler(text: str) -> Callable[[Element], None]:
    def fill(element: Element) -> None:
        dynamics = child(element, "dynamics")
        if text in _DYNAMICS:
            child(dynamics, text)
        else:
            child(dynamics, "other-dynamics", text)

    return fill


def _fill_tempo(
    direction: Direction, text: str, types: list[Callable[[Element], None]], sound: dict[str, str]
) -> None:
    unit, per_minute = direction.tempo_unit, direction.tempo_per_minute
    shape, dots = unit.rstrip("."), len(unit) - len(unit.rstrip("."))
    implied = 0.0
    if direction.printed and text:
        types.append(_filler("words", text))
    if direction.printed and per_minute is not None and shape in NOTE_TYPES:
        implied = float(NOTE_TYPES[shape] * (2 - Fraction(1, 2**dots))) * per_minute

        def fill(element: Element) -> None:
            metronome = child(element, "metronome")
            child(metronome, "beat-unit", shape)
            dotted(metronome, "beat-unit-dot", dots)
            child(metronome, "per-minute", number(per_minute))

        types.append(fill)
    qpm = direction.tempo_qpm
    # Where rounding would make the sound say something else than the mark, the mark alone says it.
    if qpm is not None and qpm > 0 and (qpm != implied or float(number(qpm)) == qpm):
        sound["tempo"] = number(qpm)
