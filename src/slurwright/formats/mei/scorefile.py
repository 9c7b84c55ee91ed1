"""An MEI document as a score: every staff of every movement is a part, every layer a voice."""

from dataclasses import dataclass
from functools import cached_property

from slurwright.errors import NotationError, PartError
from slurwright.formats.mei.staff import MeasureItem, StaffReader
from slurwright.formats.mei.tree import children, descendants, local, text_of
from slurwright.formats.mei.voices import choose, sounding_layers
from slurwright.formats.musicxml.faults import Log
from slurwright.formats.scorefile import PartHeading, ScoreFile
from slurwright.formats.xmlsafe import Element, parse_xml
from slurwright.score import Part

__all__ = ["open_mei"]

_MOST_MEASURES = 20_000
_DEEPEST = 60


def open_mei(data: bytes, *, where: str) -> ScoreFile:
    """Open an MEI document.

    Raises:
        NotationError: broken or hostile XML, not MEI, or no score in it.

    """
    root = parse_xml(data, where=where)
    name = local(root)
    if name != "mei":
        raise NotationError(
            "not an MEI score", got=f"<{name}>", allowed="a document whose root is <mei>", where=where
        )
    movements = _movements(root, where)
    if not movements:
        raise NotationError("the MEI document holds no score", allowed="<mdiv> with <score> or <parts>", where=where)
    return MeiScore(root, tuple(movements), where)


@dataclass(frozen=True, slots=True)
class Movement:
    """One ``<score>`` or ``<part>``: definitions and measures in written order, and the staves that it defines."""

    items: tuple[MeasureItem, ...]
    staves: tuple[tuple[str, Element], ...]
    label: str

    @property
    def measures(self) -> list[Element]:
        """The measures alone."""
        return [item.element for item in self.items if item.kind == "measure"]


def _movements(root: Element, where: str) -> list[Movement]:
    found: list[Movement] = []
    divisions = [
        element for element in descendants(root, "mdiv") if any(local(c) in ("score", "parts") for c in element)
    ]
    for at, division in enumerate(divisions, start=1):
        label = (division.get("label") or f"Movement {at}") if len(divisions) > 1 else ""
        scores = [child for child in children(division) if local(child) == "score"]
        if not scores:
            scores = [part for child in children(division) for part in children(child) if local(part) == "part"]
        for score in scores:
            items: list[MeasureItem] = []
            _gather(score, items, ending=None, depth=0, where=where)
            found.append(Movement(tuple(items), _staves(score), label))
    return found


def _gather(parent: Element, items: list[MeasureItem], *, ending: Element | None, depth: int, where: str) -> None:
    """Flatten sections and endings."""
    if depth > _DEEPEST:
        raise NotationError("sections stand inside one another too deeply", allowed=f"{_DEEPEST} levels", where=where)
    for child in children(parent):
        name = local(child)
        if name in ("section", "ending", "pad"):
            inner = child if name == "ending" else ending
            _gather(child, items, ending=inner, depth=depth + 1, where=where)
        elif name in ("measure", "scoreDef", "staffDef", "sb", "pb"):
            items.append(MeasureItem(name, child, ending))
    if len(items) > _MOST_MEASURES:
        raise NotationError("the score is too long", allowed=f"{_MOST_MEASURES:,} measures", where=where)


def _staves(score: Element) -> tuple[tuple[str, Element], ...]:
    """Number and first definition of every staff, in score order; staves without one are found in the measures."""
    found: dict[str, Element] = {}
    for definition in descendants(score, "staffDef"):
        found.setdefault(definition.get("n", str(len(found) + 1)), definition)
    if not found:
        for staff in descendants(score, "staff"):
            found.setdefault(staff.get("n", "1"), staff)
    return tuple(found.items())


class MeiScore:
    """An opened MEI document; see `slurwright.formats.scorefile.ScoreFile`."""

    def __init__(self, root: Element, movements: tuple[Movement, ...], where: str) -> None:
        self._root = root
        self._movements = movements
        self._where = where

    @property
    def format(self) -> str:
        """Short name of the notation."""
        return "mei"

    @cached_property
    def headings(self) -> tuple[PartHeading, ...]:
        """Every staff of every movement."""
        found: list[PartHeading] = []
        for movement in self._movements:
            for staff, definition in movement.staves:
                name = _name(definition) or f"Staff {staff}"
                found.append(
                    PartHeading(
                        number=len(found) + 1,
                        id=staff,
                        name=f"{movement.label}: {name}" if movement.label else name,
                        instrument=_instrument(definition),
                        voices=sounding_layers(movement.measures, staff),
                    )
                )
        return tuple(found)

    @cached_property
    def _numbers(self) -> dict[Element, int]:
        """Every note's number in document order, for those without an id."""
        return {element: number for number, element in enumerate(self._root.iter("{*}note"))}

    def part(self, heading: PartHeading, *, voice: str | None = None) -> Part:
        """Read one staff; see `ScoreFile.part`."""
        places = [(movement, staff) for movement in self._movements for staff in movement.staves]
        if not 1 <= heading.number <= len(places):
            raise PartError(
                "no such part", got=f"part {heading.number}", allowed=f"1 to {len(places)}", where=self._where
            )
        movement, (staff, _) = places[heading.number - 1]
        own = self.headings[heading.number - 1]
        log = Log(own.name, self._where)
        choice = choose(movement.measures, staff, voice, log)
        reader = StaffReader(movement.items, staff, choice, log, self._numbers)
        head = next(descendants(self._root, "meiHead"), None)
        return reader.part(
            own, title=_title(head, movement.label), composer=_composer(head), first=staff == movement.staves[0][0]
        )


def _name(definition: Element) -> str:
    if definition.get("label"):
        return " ".join(definition.get("label", "").split())
    own = next((text_of(child) for child in children(definition) if local(child) == "label"), "")
    parent = definition.getparent()
    if own or parent is None or local(parent) != "staffGrp":
        return own
    alone = sum(local(child) == "staffDef" for child in parent) == 1
    if not alone:
        return ""
    return parent.get("label") or next((text_of(child) for child in parent if local(child) == "label"), "")


def _instrument(definition: Element) -> str:
    for child in children(definition):
        if local(child) == "instrDef":
            return (child.get("label") or child.get("midi.instrname") or "").replace("_", " ")
    return ""


def _title(head: Element | None, label: str) -> str:
    if head is None:
        return label
    title = next((text_of(element) for element in descendants(head, "title") if text_of(element)), "")
    return ": ".join(text for text in (title, label) if text)


def _composer(head: Element | None) -> str:
    if head is None:
        return ""
    for element in descendants(head, "composer"):
        return text_of(element)
    for element in descendants(head, "persName", "name"):
        if element.get("role", "").lower() in ("composer", "cmp"):
            return text_of(element)
    return ""
