"""What else stands at a note: its shape, beam, words, signs, slurs and fingerings, read from its element.

`<notations>` with print-object="no" are hidden from the player and therefore passed over; ours, known by their id,
are not taken for fingerings of the file.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from slurwright.formats.musicxml.directions import dynamic_texts
from slurwright.formats.musicxml.faults import Log
from slurwright.formats.own_elements import OWN_ID
from slurwright.formats.xmlsafe import Element
from slurwright.score import Beam, NoteValue, Tuplet
from slurwright.score.values import NOTE_TYPES, value_of_length

__all__ = ["Details", "SlurEnd", "read_details", "read_value"]

_ARTICULATIONS = {
    "accent": "accent",
    "strong-accent": "marcato",
    "staccato": "staccato",
    "tenuto": "tenuto",
    "detached-legato": "detached-legato",
    "staccatissimo": "staccatissimo",
    "spiccato": "staccatissimo",
    "breath-mark": "breath",
    "caesura": "caesura",
    "stress": "stress",
    "unstress": "unstress",
    "soft-accent": "soft-accent",
}
_SLIDES = {"scoop": "scoop", "plop": "plop", "doit": "doit", "falloff": "falloff"}
_ORNAMENTS = {
    "trill-mark": "trill",
    "turn": "turn",
    "delayed-turn": "delayed-turn",
    "inverted-turn": "inverted-turn",
    "delayed-inverted-turn": "inverted-turn",
    "vertical-turn": "turn",
    "shake": "shake",
    "mordent": "mordent",
    "inverted-mordent": "inverted-mordent",
    "haydn": "turn",
}
_TECHNICAL = {
    "stopped": "stopped",
    "open": "open",
    "half-muted": "half-muted",
    "double-tongue": "double-tongue",
    "triple-tongue": "triple-tongue",
}
_BRASS_ORNAMENTS = {"flip": "flip", "smear": "smear", "brass-bend": "bend", "golpe": ""}
_BEAMS = {"begin": Beam.BEGIN, "continue": Beam.CONTINUE, "end": Beam.END}


@dataclass(frozen=True, slots=True)
class SlurEnd:
    """One end of a slur at a note."""

    type: str
    """"start" or "stop"."""
    number: str
    dashed: bool = False


@dataclass(slots=True)
class Details:
    """What stands at a note beside its pitch and place."""

    articulations: frozenset[str] = frozenset()
    ornaments: frozenset[str] = frozenset()
    fingerings: tuple[str, ...] = ()
    slurs: tuple[SlurEnd, ...] = ()
    dynamics: tuple[str, ...] = ()
    lyrics: tuple[str, ...] = ()
    beam: Beam = Beam.NONE
    accidental: str = ""
    tie_starts: bool = False
    tie_stops: bool = False
    grace_slash: bool = False
    tuplet_starts: bool = False
    tuplet_ends: bool = False
    type: str = ""
    dots: int = 0
    tuplet: tuple[str | None, str | None] | None = None
    """Actual and normal notes as the file has them."""


def read_details(children: Iterable[tuple[str, Element]]) -> Details:
    """Read everything of a `<note>` but its pitch, place and length.

    Args:
        children: of the `<note>`, each with its tag.

    """
    details = Details()
    for tag, child in children:
        if (read := _READERS.get(tag)) is not None:
            read(child, details)
    return details


def _read_type(element: Element, details: Details) -> None:
    details.type = (element.text or "").strip()


def _read_dot(_: Element, details: Details) -> None:
    details.dots += 1


def _read_beam(element: Element, details: Details) -> None:
    if element.get("number", "1") == "1":
        details.beam = _BEAMS.get((element.text or "").strip(), Beam.NONE)


def _read_tie(element: Element, details: Details) -> None:
    details.tie_starts |= element.get("type") in {"start", "continue"}
    details.tie_stops |= element.get("type") in {"stop", "continue"}


def _read_lyric(element: Element, details: Details) -> None:
    if (text := _lyric(element)) and element.get("print-object") != "no":
        details.lyrics += (text,)


def _read_accidental(element: Element, details: Details) -> None:
    details.accidental = (element.text or "").strip()


def _read_modification(element: Element, details: Details) -> None:
    details.tuplet = (element.findtext("actual-notes"), element.findtext("normal-notes"))


def _read_grace(element: Element, details: Details) -> None:
    details.grace_slash = element.get("slash") == "yes"


def _lyric(element: Element) -> str:
    """Join a syllable with what is elided into it; a hyphen says that the word goes on."""
    text = ""
    syllabic = ""
    for child in element:
        if child.tag == "text":
            text += child.text or ""
        elif child.tag == "elision":
            text += child.text or " "
        elif child.tag == "syllabic":
            syllabic = (child.text or "").strip()
    return f"{text}-" if text and syllabic in {"begin", "middle"} else text


def _printed(element: Element) -> Iterator[Element]:
    return (child for child in element if child.get("print-object") != "no")


def _read_notations(element: Element, details: Details) -> None:
    if element.get("print-object") == "no":
        return
    own = element.get("id", "").startswith(OWN_ID)
    for child in _printed(element):
        if own and child.tag == "technical":
            continue
        if (read := _NOTATIONS.get(child.tag)) is not None:
            read(child, details)


def _read_slur(element: Element, details: Details) -> None:
    if element.get("type") in {"start", "stop"}:
        dashed = element.get("line-type") in {"dashed", "dotted"}
        details.slurs += (SlurEnd(element.get("type", ""), element.get("number", "1"), dashed),)


def _read_fermata(_: Element, details: Details) -> None:
    details.articulations |= {"fermata"}


def _read_dynamics(element: Element, details: Details) -> None:
    details.dynamics += tuple(dynamic_texts(element))


def _read_tuplet(element: Element, details: Details) -> None:
    details.tuplet_starts |= element.get("type") == "start"
    details.tuplet_ends |= element.get("type") == "stop"


def _read_glissando(element: Element, details: Details) -> None:
    if element.get("type") == "start":
        details.ornaments |= {"glissando"}


def _read_articulations(element: Element, details: Details) -> None:
    for mark in _printed(element):
        if mark.tag in _ARTICULATIONS:
            details.articulations |= {_ARTICULATIONS[mark.tag]}
        elif mark.tag in _SLIDES:
            details.ornaments |= {_SLIDES[mark.tag]}


def _read_ornaments(element: Element, details: Details) -> None:
    for mark in _printed(element):
        if mark.tag in _ORNAMENTS:
            details.ornaments |= {_ORNAMENTS[mark.tag]}
        elif mark.tag == "tremolo" and mark.get("type", "single") == "single":
            strokes = (mark.text or "3").strip()
            if strokes in {"1", "2", "3", "4", "5", "6", "7", "8"}:
                details.ornaments |= {f"tremolo-{strokes}"}


def _read_technical(element: Element, details: Details) -> None:
    if element.get("id", "").startswith(OWN_ID):
        return
    for mark in _printed(element):
        tag = mark.tag
        if tag == "fingering":
            text = "".join((mark.text or "").split())
            if text and not mark.get("id", "").startswith(OWN_ID):
                details.fingerings += (text,)
        elif tag in _TECHNICAL:
            details.articulations |= {_TECHNICAL[tag]}
        elif _BRASS_ORNAMENTS.get(tag):
            details.ornaments |= {_BRASS_ORNAMENTS[tag]}


_Read = Callable[[Element, Details], None]
_NOTATIONS: dict[str, _Read] = {
    "slur": _read_slur,
    "tied": _read_tie,
    "articulations": _read_articulations,
    "ornaments": _read_ornaments,
    "technical": _read_technical,
    "fermata": _read_fermata,
    "dynamics": _read_dynamics,
    "tuplet": _read_tuplet,
    "glissando": _read_glissando,
    "slide": _read_glissando,
}
_READERS: dict[str, _Read] = {
    "type": _read_type,
    "dot": _read_dot,
    "beam": _read_beam,
    "tie": _read_tie,
    "notations": _read_notations,
    "lyric": _read_lyric,
    "accidental": _read_accidental,
    "time-modification": _read_modification,
    "grace": _read_grace,
}


def read_value(details: Details, length: Fraction, log: Log) -> NoteValue:
    """Say what shape a note has; where the file names none, from its length.

    Args:
        details: of the note.
        length: of the note, 0 for a grace note [quarters].
        log: takes notices.

    """
    if details.type not in NOTE_TYPES:
        if details.type:
            log.notice(f"note type {details.type!r} is unknown; taken from the length")
        guessed = value_of_length(length) if length else NoteValue("eighth")
        if guessed is None:
            log.notice("a note's length is none of a single note; its nearest shorter shape is shown")
            guessed = _shape_below(length)
        return guessed
    tuplet = None
    if details.tuplet is not None:
        actual = log.whole(details.tuplet[0], "notes of a tuplet", low=1, high=1024)
        normal = log.whole(details.tuplet[1], "notes of a tuplet", low=1, high=1024)
        if actual and normal and actual != normal:
            tuplet = Tuplet(actual, normal, details.tuplet_starts, details.tuplet_ends)
    if tuplet is None:
        return _plain_value(details.type, min(details.dots, 4))
    return NoteValue(details.type, min(details.dots, 4), tuplet)


@lru_cache(maxsize=128)
def _plain_value(type_: str, dots: int) -> NoteValue:
    return NoteValue(type_, dots)


def _shape_below(length: Fraction) -> NoteValue:
    fitting = [(span, name) for name, span in NOTE_TYPES.items() if span <= length]
    return NoteValue(max(fitting)[1] if fitting else "1024th")
