"""A part with its fingering row as MEI 5, written for one engraver and one sheet of paper.

Only what a reader sees is written: no sound, no layout but the file's own wishes for new systems. Drawings of notes
are named ``n`` and the note's index, labels ``f`` and the index, marks of weak slurs ``s`` and their number.
MEI is an open encoding (published: Music Encoding Initiative, Guidelines, version 5).
"""

from xml.etree.ElementTree import tostring

from slurwright.formats.pages.check import check_request
from slurwright.formats.pages.element import Element, child
from slurwright.formats.pages.frames import Frame
from slurwright.formats.pages.heading import write_heading
from slurwright.formats.pages.layer import Layers, layers_of, write_layer
from slurwright.formats.pages.places import places_of
from slurwright.formats.pages.request import PageRequest
from slurwright.formats.pages.row import row_writers
from slurwright.formats.pages.signs import sign_writers
from slurwright.formats.pages.text import printable
from slurwright.pitch import Clef
from slurwright.score import Key, Measure, Part, TimeSignature
from slurwright.score.accidentals import accidentals

__all__ = ["page_mei"]

_NAMESPACE = "http://www.music-encoding.org/ns/mei"
_CLEFS = {Clef.TREBLE: ("G", "2"), Clef.ALTO: ("C", "3"), Clef.TENOR: ("C", "4"), Clef.BASS: ("F", "4")}


def page_mei(request: PageRequest) -> str:
    """Write the part, its headings, its row and its marks as MEI.

    Raises:
        EngravingError: the part contradicts itself in a way that cannot be drawn; all faults are said at once.

    """
    check_request(request)
    part = request.part
    places = places_of(part)
    root = Element("mei", {"xmlns": _NAMESPACE, "meiversion": "5.0"})
    title = child(child(child(child(root, "meiHead"), "fileDesc"), "titleStmt"), "title")
    title.text = None
    score = child(child(child(child(root, "music"), "body"), "mdiv"), "score")
    _write_start(score, request)
    section = child(score, "section")
    layers = layers_of(part, shown=frozenset(accidentals(part)))
    signs = [sign_writers(places), row_writers(request, places)]
    holder = section
    for place, frame in enumerate(places.frames):
        measure = part.measures[frame.first]
        if place:
            before = part.measures[frame.first - 1]
            if measure.new_section:
                child(holder if measure.endings and not measure.ending_starts else section, "sb")
            holder = _holder(section, holder, measure, before)
            _write_change(holder, before, measure)
        else:
            holder = _holder(section, section, measure, None)
        written = _write_measure(holder, part, frame, layers)
        for each in signs:
            for sign in each.get(place, []):
                sign(written)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + tostring(root, encoding="unicode")


def _write_start(score: Element, request: PageRequest) -> None:
    """Write the headings and the state at the first measure."""
    first = request.part.measures[0]
    start = child(score, "scoreDef", _key(first.key) | _time(first.time))
    write_heading(start, request)
    shape, line = _CLEFS[first.clef]
    child(child(start, "staffGrp"), "staffDef", {"n": "1", "lines": "5", "clef.shape": shape, "clef.line": line})


def _holder(section: Element, current: Element, measure: Measure, before: Measure | None) -> Element:
    """Find where a measure belongs: the section, or the ending that it opens or goes on with."""
    if not measure.endings:
        return section
    goes_on = before is not None and before.endings == measure.endings and not before.ending_stops
    if goes_on and not measure.ending_starts:
        return current
    label = ", ".join(f"{number}." for number in measure.endings)
    return child(section, "ending", {"n": label})


def _write_change(holder: Element, before: Measure, measure: Measure) -> None:
    """Write a new key or time before a measure."""
    change: dict[str, str] = {}
    if measure.key.fifths != before.key.fifths:
        change |= _key(measure.key)
    if measure.time != before.time:
        change |= _time(measure.time)
    if change:
        child(holder, "scoreDef", change)


def _write_measure(holder: Element, part: Part, frame: Frame, layers: Layers) -> Element:
    first, last = part.measures[frame.first], part.measures[frame.last]
    full = first.duration_quarter == first.time.length_quarter
    measure = child(
        holder,
        "measure",
        {
            "xml:id": f"m{frame.first}",
            "n": printable(first.number),
            "metcon": "" if full else "false",
            "left": "rptstart" if first.repeat_starts else "",
            "right": _right_bar(last),
        },
    )
    layer = child(child(measure, "staff", {"n": "1"}), "layer", {"n": "1"})
    if frame.count > 1:
        child(layer, "multiRest", {"num": str(frame.count)})
    elif frame.rests_only and not layers.events.get(frame.first):
        child(layer, "mRest")
    else:
        write_layer(layer, first, layers)
    following = part.measures[frame.last + 1 : frame.last + 2]
    if following and following[0].clef is not last.clef:
        shape, line = _CLEFS[following[0].clef]
        child(layer, "clef", {"shape": shape, "line": line})
    return measure


def _right_bar(measure: Measure) -> str:
    if measure.repeat_ends:
        return "rptend"
    if measure.final_bar:
        return "end"
    return "dbl" if measure.double_bar else ""


def _key(key: Key) -> dict[str, str]:
    sign = "0" if key.fifths == 0 else f"{abs(key.fifths)}{'s' if key.fifths > 0 else 'f'}"
    return {"keysig": sign}


def _time(time: TimeSignature) -> dict[str, str]:
    count = "+".join(str(group) for group in time.groups) if time.groups else str(time.beats)
    symbol = {"meter.sym": time.symbol} if time.symbol in {"common", "cut"} else {}
    return {"meter.count": count, "meter.unit": str(time.beat_type), **symbol}
