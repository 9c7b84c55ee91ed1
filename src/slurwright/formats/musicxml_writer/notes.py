"""What one note or rest is in MusicXML: an element with its shape, ties, beams, signs and words."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from slurwright.errors import RequestError
from slurwright.formats.musicxml_writer.beams import beam_levels
from slurwright.formats.musicxml_writer.element import Element, child, dotted, in_divisions
from slurwright.score import Note, NoteValue, Part, Rest, Slur
from slurwright.score.accidentals import needed_accidentals

__all__ = ["Signs", "note_element", "rest_element", "signs_of"]

_MOST_NUMBERS = 16
"""Slurs that may be open at once (MusicXML 4.0, number-level)."""
_ACCIDENTALS = frozenset(
    {"sharp", "natural", "flat", "double-sharp", "flat-flat", "triple-sharp", "triple-flat"}
    | {"sharp-sharp", "natural-sharp", "natural-flat"}
)
"""Those of whole semitones; the standard's others are for microtones."""
_ARTICULATIONS = {
    "accent": "accent",
    "marcato": "strong-accent",
    "staccato": "staccato",
    "tenuto": "tenuto",
    "detached-legato": "detached-legato",
    "staccatissimo": "staccatissimo",
    "scoop": "scoop",
    "plop": "plop",
    "doit": "doit",
    "falloff": "falloff",
    "breath": "breath-mark",
    "caesura": "caesura",
    "stress": "stress",
    "unstress": "unstress",
    "soft-accent": "soft-accent",
}
_ORNAMENTS = {
    "trill": "trill-mark",
    "turn": "turn",
    "delayed-turn": "delayed-turn",
    "inverted-turn": "inverted-turn",
    "shake": "shake",
    "mordent": "mordent",
    "inverted-mordent": "inverted-mordent",
}
_TECHNICAL = {
    "double-tongue": "double-tongue",
    "triple-tongue": "triple-tongue",
    "stopped": "stopped",
    "bend": "brass-bend",
    "flip": "flip",
    "smear": "smear",
    "open": "open",
    "half-muted": "half-muted",
}
_TREMOLO = "tremolo-"


@dataclass(frozen=True, slots=True)
class Signs:
    """What the notes of a part get beyond their own fields, by note index."""

    fingerings: Mapping[int, tuple[str, ...]]
    accidentals: Mapping[int, str]
    beams: Mapping[int, tuple[str, ...]]
    slurs: Mapping[int, tuple[tuple[str, int, bool], ...]]
    """("stop" or "start", number, dashed), stops first."""
    slides_end: frozenset[int]
    """Notes to which a glissando leads."""
    lyrics: Mapping[int, tuple[tuple[str, str], ...]]
    """(syllabic, text) for each verse."""


def signs_of(part: Part, fingerings: Mapping[int, tuple[str, ...]]) -> Signs:
    """Work out what needs a look at more than one note.

    Args:
        part: the whole part.
        fingerings: what the caller wants at which note; these stand in place of the part's own.

    Raises:
        RequestError: more slurs at once than MusicXML can number.

    """
    return Signs(
        fingerings=fingerings,
        accidentals=_accidentals(part),
        beams=beam_levels(part.notes),
        slurs=_slur_ends(part.slurs),
        slides_end=frozenset(note.index + 1 for note in part.notes if "glissando" in note.ornaments),
        lyrics=_lyrics(part.notes),
    )


def _accidentals(part: Part) -> dict[int, str]:
    """Take those that the source printed; a source that prints none at all leaves them to be worked out."""
    stated = {note.index: note.shown_accidental for note in part.notes if note.shown_accidental}
    if stated:
        return {index: name for index, name in stated.items() if name in _ACCIDENTALS}
    return {index: accidental.name for index, accidental in needed_accidentals(part).items()}


def _slur_ends(slurs: Sequence[Slur]) -> dict[int, tuple[tuple[str, int, bool], ...]]:
    """Number the slurs so that no number is open twice."""
    ends: dict[int, list[tuple[str, int, bool]]] = {}
    opened: dict[int, Slur] = {}
    for slur in sorted(slurs, key=lambda each: (each.first, -each.last)):
        for taken, other in list(opened.items()):
            if other.last <= slur.first:
                del opened[taken]
        free = next((each for each in range(1, _MOST_NUMBERS + 1) if each not in opened), None)
        if free is None:
            raise RequestError(
                "too many slurs at once", got=f"one more at note {slur.first}", allowed=f"{_MOST_NUMBERS} at a time"
            )
        opened[free] = slur
        ends.setdefault(slur.first, []).append(("start", free, slur.dashed))
        ends.setdefault(slur.last, []).append(("stop", free, slur.dashed))
    return {note: tuple(sorted(each, key=lambda end: (end[0] == "start", end[1]))) for note, each in ends.items()}


def _lyrics(notes: Sequence[Note]) -> dict[int, tuple[tuple[str, str], ...]]:
    """Say of each syllable whether its word began before it and goes on behind it."""
    found: dict[int, tuple[tuple[str, str], ...]] = {}
    inside: dict[int, bool] = {}
    for note in notes:
        syllables = []
        for verse, text in enumerate(note.lyrics):
            goes_on = len(text) > 1 and text.endswith("-")
            began = inside.get(verse, False)
            inside[verse] = goes_on
            syllabic = ("middle" if began else "begin") if goes_on else "end" if began else "single"
            syllables.append((syllabic, text[:-1] if goes_on else text))
        if syllables:
            found[note.index] = tuple(syllables)
    return found


def note_element(parent: Element, note: Note, signs: Signs, divisions: int) -> None:
    """Append a note.

    Args:
        parent: the measure.
        note: any note of the part.
        signs: of the same part.
        divisions: of a quarter [1].

    """
    element = child(parent, "note")
    if note.grace or not note.duration_quarter:
        child(element, "grace", attributes={"slash": "yes" if note.grace_slash else ""})
    pitch = child(element, "pitch")
    child(pitch, "step", note.written.step)
    if note.written.alter:
        child(pitch, "alter", str(note.written.alter))
    child(pitch, "octave", str(note.written.octave))
    if not note.grace and note.duration_quarter:
        child(element, "duration", in_divisions(note.duration_quarter, divisions))
    ties = [type_ for type_, tied in (("stop", note.tied_from_previous), ("start", note.tied_to_next)) if tied]
    for type_ in ties:
        child(element, "tie", attributes={"type": type_})
    child(element, "voice", note.voice)
    _add_shape(element, note.value, accidental=signs.accidentals.get(note.index, ""))
    for level, what in enumerate(signs.beams.get(note.index, ()), start=1):
        child(element, "beam", what, {"number": str(level)})
    _add_notations(element, note, signs, ties)
    for verse, (syllabic, text) in enumerate(signs.lyrics.get(note.index, ()), start=1):
        lyric = child(element, "lyric", attributes={"number": str(verse)})
        child(lyric, "syllabic", syllabic)
        child(lyric, "text", text)


def rest_element(parent: Element, rest: Rest, voice: str, divisions: int, *, whole_measure: bool) -> None:
    """Append a rest.

    Args:
        parent: the measure.
        rest: any rest of the part.
        voice: in which it is silent.
        divisions: of a quarter [1].
        whole_measure: True for a rest that stands for the measure, whatever its length.

    """
    element = child(parent, "note")
    child(element, "rest", attributes={"measure": "yes" if whole_measure else ""})
    child(element, "duration", in_divisions(rest.duration_quarter, divisions))
    child(element, "voice", voice)
    notations = Element("notations")
    if rest.value is not None:
        _add_shape(element, rest.value, accidental="")
        _add_tuplet(notations, rest.value)
    if rest.fermata:
        child(notations, "fermata")
    if len(notations):
        element.append(notations)


def _add_shape(element: Element, value: NoteValue, *, accidental: str) -> None:
    child(element, "type", value.type)
    dotted(element, "dot", value.dots)
    if accidental:
        child(element, "accidental", accidental)
    if value.tuplet is not None:
        modification = child(element, "time-modification")
        child(modification, "actual-notes", str(value.tuplet.actual))
        child(modification, "normal-notes", str(value.tuplet.normal))


def _add_tuplet(notations: Element, value: NoteValue) -> None:
    if value.tuplet is not None:
        for type_, stands in (("stop", value.tuplet.ends), ("start", value.tuplet.starts)):
            if stands:
                child(notations, "tuplet", attributes={"type": type_, "number": "1"})


def _add_notations(element: Element, note: Note, signs: Signs, ties: Sequence[str]) -> None:
    notations = Element("notations")
    for type_ in ties:
        child(notations, "tied", attributes={"type": type_})
    for type_, number, dashed in signs.slurs.get(note.index, ()):
        line = "dashed" if dashed and type_ == "start" else ""
        child(notations, "slur", attributes={"type": type_, "number": str(number), "line-type": line})
    _add_tuplet(notations, note.value)
    if note.index in signs.slides_end:
        child(notations, "glissando", attributes={"type": "stop", "number": "1"})
    if "glissando" in note.ornaments:
        child(notations, "glissando", attributes={"type": "start", "number": "1"})
    _add_signs(notations, note, signs)
    if "fermata" in note.articulations:
        child(notations, "fermata")
    if len(notations):
        element.append(notations)


def _add_signs(notations: Element, note: Note, signs: Signs) -> None:
    """Sort a note's signs into the three families of MusicXML; a sign that it lacks goes by its own name."""
    ornaments, technical, articulations = (Element(tag) for tag in ("ornaments", "technical", "articulations"))
    own = signs.fingerings.get(note.index)
    for at, fingering in enumerate(note.fingerings if own is None else own):
        alternate = "yes" if own is not None and at > 0 else ""
        child(technical, "fingering", fingering, {"placement": "above", "alternate": alternate})
    for name in sorted(note.articulations | note.ornaments):
        if name in _ARTICULATIONS:
            child(articulations, _ARTICULATIONS[name])
        elif name in _TECHNICAL:
            child(technical, _TECHNICAL[name])
        elif name in _ORNAMENTS:
            child(ornaments, _ORNAMENTS[name])
        elif name.startswith(_TREMOLO) and name.removeprefix(_TREMOLO) in set("12345678"):
            child(ornaments, "tremolo", name.removeprefix(_TREMOLO), {"type": "single"})
        elif name in note.articulations and name != "fermata":
            child(articulations, "other-articulation", name)
        elif name in note.ornaments and name != "glissando":
            child(ornaments, "other-ornament", name)
    notations.extend(family for family in (ornaments, technical, articulations) if len(family))
