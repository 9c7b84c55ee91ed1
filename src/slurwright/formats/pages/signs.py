"""Dynamics, tempo, words, slurs, ties and the other signs around the staff, as MEI control events."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction
from math import isfinite

from slurwright.formats.pages.element import Element, child, note_id, rest_id, write
from slurwright.formats.pages.layer import ARTICULATIONS
from slurwright.formats.pages.places import Places
from slurwright.formats.pages.text import printable
from slurwright.score import Direction, DirectionKind, Hairpin, Jump, Measure, Note, Part

__all__ = ["SignWriter", "sign_writers"]

SignWriter = Callable[[Element], None]
"""Writes one sign into the MEI measure that it is given."""

_METRONOME_NOTES = {
    "breve": "\uecb0",
    "whole": "\ueca2",
    "half": "\ueca3",
    "quarter": "\ueca5",
    "eighth": "\ueca7",
    "16th": "\ueca9",
    "32nd": "\uecab",
}
_METRONOME_DOT = "\uecb7"
"""Code points of the Standard Music Font Layout (published: SMuFL 1.4, range "Metronome marks")."""
_OWN_ELEMENTS = frozenset({"fermata", "breath", "breath-mark", "caesura"})
_ORNAMENTS = {
    "trill": ("trill", {}),
    "turn": ("turn", {"form": "upper"}),
    "inverted-turn": ("turn", {"form": "lower"}),
    "delayed-turn": ("turn", {"form": "upper", "delayed": "true"}),
    "mordent": ("mordent", {"form": "lower"}),
    "inverted-mordent": ("mordent", {"form": "upper"}),
}
_LINES_TO_NEXT = frozenset({"glissando", "slide"})


def sign_writers(places: Places) -> dict[int, list[SignWriter]]:
    """Gather the signs of a part by the frame in whose measure they are written, in a fixed order."""
    signs: dict[int, list[SignWriter]] = {}
    part = replace(places.part, directions=tuple(sign for sign in places.part.directions if sign.printed))

    def add(measure: int, sign: SignWriter) -> None:
        signs.setdefault(places.frame_of[measure], []).append(sign)

    levels = _shared_levels(part, places)
    for direction in _with_tempos_joined(part.directions):
        add(direction.measure, _direction(direction, places, levels))
    for measure in part.measures:
        for sign in _jumps(measure, part):
            add(measure.index, sign)
        if measure.repeat_ends > 2:
            add(measure.index, _words_at_end(f"{measure.repeat_ends}×", measure))
    for hairpin in part.hairpins:
        add(places.measure_at(hairpin.start_quarter), _hairpin(hairpin, places, levels))
    for note in part.notes:
        for sign in _signs_of_note(note, part):
            add(note.measure, sign)
    for place, rest in enumerate(part.rests):
        if rest.fermata:
            add(rest.measure, _plain("fermata", {"startid": f"#{rest_id(place)}", "place": "above"}))
    for slur in part.slurs:
        ends = {"startid": f"#{note_id(slur.first)}", "endid": f"#{note_id(slur.last)}"}
        line = {"lform": "dashed"} if slur.dashed else {}
        add(part.notes[slur.first].measure, _plain("slur", ends | line))
    return signs


def _plain(tag: str, attributes: dict[str, str], text: str = "") -> SignWriter:
    def sign(measure: Element) -> None:
        child(measure, tag, attributes, printable(text))

    return sign


def _shared_levels(part: Part, places: Places) -> dict[Fraction, str]:
    """Number the groups of dynamics and hairpins that touch, so that each group stands on one level.

    A group on one level also keeps clear of the slurs under the notes, which single signs do not. A dynamic in the
    middle of a hairpin stands on a level of its own, or the two would cross.
    """
    stretches = [(pin.start_quarter, pin.end_quarter) for pin in part.hairpins]
    edges = {edge for stretch in stretches for edge in stretch}
    inside: list[Fraction] = []
    for place in {sign.onset_quarter for sign in part.directions if sign.kind is DirectionKind.DYNAMIC}:
        crossed = place not in edges and any(start < place < end for start, end in stretches)
        if crossed:
            inside.append(place)
        else:
            stretches.append((place, place))
    levels: dict[Fraction, str] = {}
    group, reach, bar = 0, Fraction(-1), -1
    for start, end in sorted(stretches):
        if start > reach and places.measure_at(start) != bar:
            group += 1
        reach, bar = max(reach, end), places.measure_at(max(reach, end))
        levels[start] = str(group)
    return levels | {place: str(group + number) for number, place in enumerate(sorted(inside), start=1)}


def _with_tempos_joined(directions: Sequence[Direction]) -> list[Direction]:
    """Put the words and the metronome mark of one place on one line."""
    joined: list[Direction] = []
    for direction in directions:
        for place, other in enumerate(joined):
            if _says_the_rest(other, direction):
                marked = direction if direction.tempo_unit else other
                words = " ".join(filter(None, (other.text, direction.text)))
                joined[place] = replace(marked, text=words)
                break
        else:
            joined.append(direction)
    return joined


def _says_the_rest(one: Direction, other: Direction) -> bool:
    both_tempo = one.kind is other.kind is DirectionKind.TEMPO
    same_place = (one.measure, one.onset_quarter, one.above) == (other.measure, other.onset_quarter, other.above)
    return both_tempo and same_place and bool(one.tempo_unit) != bool(other.tempo_unit)


def _direction(direction: Direction, places: Places, levels: dict[Fraction, str]) -> SignWriter:
    attributes = places.start(direction.measure, direction.onset_quarter)
    attributes["place"] = "above" if direction.above else "below"

    def sign(measure: Element) -> None:
        if direction.kind is DirectionKind.DYNAMIC:
            level = {} if direction.above else {"vgrp": levels.get(direction.onset_quarter, "")}
            child(measure, "dynam", attributes | level, printable(direction.text))
        elif direction.kind is DirectionKind.REHEARSAL:
            write(child(measure, "reh", attributes), direction.text, {"rend": "box"})
        elif direction.kind is DirectionKind.TEMPO:
            _write_tempo(child(measure, "tempo", attributes), direction)
        else:
            child(measure, "dir", attributes, printable(direction.text))

    return sign


def _write_tempo(tempo: Element, direction: Direction) -> None:
    """Write the words, then the metronome mark with its note drawn."""
    words = printable(direction.text)
    unit, dots = direction.tempo_unit.rstrip("."), direction.tempo_unit.count(".")
    glyph = _METRONOME_NOTES.get(unit)
    if glyph is None or direction.tempo_per_minute is None or not isfinite(direction.tempo_per_minute):
        tempo.text = words
        return
    tempo.text = f"{words} " if words else None
    note = child(tempo, "rend", {"glyph.auth": "smufl", "fontfam": "smufl"}, glyph + _METRONOME_DOT * dots)
    note.tail = f" = {direction.tempo_per_minute:g}"


def _hairpin(hairpin: Hairpin, places: Places, levels: dict[Fraction, str]) -> SignWriter:
    """Write a hairpin; one that leads to a dynamic ends at its note, so that it stops short of the letters."""
    measure = places.measure_at(hairpin.start_quarter)
    note = places.note_at.get(hairpin.end_quarter) if hairpin.end_quarter in levels else None
    end = {"tstamp2": places.end(measure, hairpin.end_quarter)} if note is None else {"endid": f"#{note_id(note)}"}
    return _plain(
        "hairpin",
        {
            "form": "cres" if hairpin.grows else "dim",
            "place": "below",
            "vgrp": levels.get(hairpin.start_quarter, ""),
            **places.start(measure, hairpin.start_quarter),
            **end,
        },
    )


def _signs_of_note(note: Note, part: Part) -> list[SignWriter]:
    """Gather a note's tie, ornaments, fermata, breath, and in words what cannot be drawn."""
    here = {"startid": f"#{note_id(note.index)}"}
    signs: list[SignWriter] = []
    if note.tied_to_next:
        for other in part.notes[note.index + 1 : note.index + 12]:
            if other.tied_from_previous and other.written == note.written:
                signs.append(_plain("tie", {**here, "endid": f"#{note_id(other.index)}"}))
                break
    for name in sorted(note.articulations | note.ornaments):
        if name in ARTICULATIONS or name.startswith("tremolo-"):
            continue
        if name in _LINES_TO_NEXT:
            if note.index + 1 < len(part.notes):
                signs.append(_plain("gliss", {**here, "endid": f"#{note_id(note.index + 1)}"}))
        elif name in _ORNAMENTS:
            tag, attributes = _ORNAMENTS[name]
            signs.append(_plain(tag, {**here, **attributes, "place": "above"}))
        elif name in _OWN_ELEMENTS:
            signs.append(_plain(name.removesuffix("-mark"), {**here, "place": "above"}))
        else:
            signs.append(_plain("dir", {**here, "place": "above"}, name.replace("-", " ")))
    return signs


def _jumps(measure: Measure, part: Part) -> list[SignWriter]:
    """Write the signs that send the player elsewhere, unless the part's own words say it already."""
    said = {
        printable(direction.text).lower().replace(" ", "")
        for direction in part.directions
        if direction.measure == measure.index
    }
    signs: list[SignWriter] = []
    for jump in measure.jumps:
        if jump is Jump.SEGNO or jump is Jump.CODA:
            signs.append(_plain("repeatMark", {"func": jump.value, "tstamp": "1", "place": "above"}))
            continue
        words, starts = _jump_words(jump, part)
        if not any(text.startswith(starts) for text in said):
            signs.append(_words_at_end(words, measure))
    return signs


def _jump_words(jump: Jump, part: Part) -> tuple[str, tuple[str, ...]]:
    """Say a jump in words, and how a direction begins that says the same."""
    if jump is Jump.FINE:
        return "Fine", ("fine",)
    if jump is Jump.TO_CODA:
        return "To Coda", ("tocoda", "alcoda")
    anywhere = {each for measure in part.measures for each in measure.jumps}
    aim = ""
    if Jump.TO_CODA in anywhere or Jump.CODA in anywhere:
        aim = " al Coda"
    elif Jump.FINE in anywhere:
        aim = " al Fine"
    if jump is Jump.DA_CAPO:
        return f"D.C.{aim}", ("d.c", "dc", "dacapo")
    return f"D.S.{aim}", ("d.s", "ds", "dalsegno")


def _words_at_end(words: str, measure: Measure) -> SignWriter:
    """Write words that end at the bar line."""

    def sign(element: Element) -> None:
        beats = measure.duration_quarter * Fraction(measure.time.beat_type, 4)
        place = child(element, "dir", {"tstamp": f"{float(1 + beats):.6g}", "place": "above"})
        child(place, "rend", {"halign": "right"}, f"\u00a0{words}")

    return sign
