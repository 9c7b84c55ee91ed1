"""Where do repeats, endings and jumps stand: bar lines, signs and the words that go with them, by measure.

A bare coda sign says both "go to the coda" and "here it is". Where a file does not say which, the first of two is
the place to leave and the last the coda (common practice).
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from slurwright.formats.musicxml.faults import Log
from slurwright.formats.xmlsafe import Element
from slurwright.score import Jump

__all__ = ["Bar", "Bars", "jumps_of_sound", "jumps_of_words", "read_barline"]

_SOUND_JUMPS = (
    ("segno", Jump.SEGNO),
    ("coda", Jump.CODA),
    ("tocoda", Jump.TO_CODA),
    ("dacapo", Jump.DA_CAPO),
    ("dalsegno", Jump.DAL_SEGNO),
    ("fine", Jump.FINE),
)
_WORD_JUMPS = (
    (re.compile(r"\bd\.?\s?c\.?(?=\W|$)|\bda\s+capo\b", re.IGNORECASE), Jump.DA_CAPO),
    (re.compile(r"\bd\.?\s?s\.?(?=\W|$)|\bdal\s+segno\b", re.IGNORECASE), Jump.DAL_SEGNO),
    (re.compile(r"^\W*(?:to|al)\s+coda\b", re.IGNORECASE), Jump.TO_CODA),
    (re.compile(r"^\W*fine\W*$", re.IGNORECASE), Jump.FINE),
)
_ENDING_NUMBERS = re.compile(r"[0-9]{1,2}")
_ENDING_RANGE = re.compile(r"\s*([0-9]{1,2})\s*[-–]\s*([0-9]{1,2})\s*\.?\s*")


@dataclass(slots=True)
class Bar:
    """What stands at one measure's bar lines, and the jumps in it."""

    repeat_starts: bool = False
    repeat_ends: int = 0
    ending: tuple[int, ...] = ()
    """Numbers of an ending that starts here."""
    ending_stops: bool = False
    double_bar: bool = False
    final_bar: bool = False
    jumps: list[Jump] = field(default_factory=list)
    bare_codas: list[bool] = field(default_factory=list)
    """Coda signs of which nothing says what they mean; True for one at the measure's end."""

    def add_jump(self, jump: Jump) -> None:
        """Add a sign once."""
        if jump not in self.jumps:
            self.jumps.append(jump)


@dataclass(slots=True)
class Bars:
    """The bars of a part in order."""

    bars: list[Bar]

    def settle(self) -> None:
        """Decide what bare coda signs mean, and where endings without a stop stop."""
        explicit = any(Jump.TO_CODA in bar.jumps for bar in self.bars)
        bare = [(index, at_end) for index, bar in enumerate(self.bars) for at_end in bar.bare_codas]
        for order, (index, at_end) in enumerate(bare):
            if not explicit and order < len(bare) - 1:
                self.bars[index].add_jump(Jump.TO_CODA)
            else:
                self.bars[min(index + at_end, len(self.bars) - 1)].add_jump(Jump.CODA)

    def endings(self) -> list[tuple[tuple[int, ...], bool, bool]]:
        """For each measure: the passes it belongs to, whether the bracket starts, whether it stops."""
        spans: list[tuple[tuple[int, ...], bool, bool]] = []
        now: tuple[int, ...] = ()
        for index, bar in enumerate(self.bars):
            starts = bool(bar.ending)
            now = bar.ending or now
            follows = self.bars[index + 1] if index + 1 < len(self.bars) else None
            stops = bool(now) and (
                bar.ending_stops or bar.repeat_ends > 0 or bar.final_bar or follows is None or bool(follows.ending)
            )
            spans.append((now, starts, stops))
            if stops:
                now = ()
        return spans

    def take_in(self, others: Sequence[Bar]) -> None:
        """Add what stands only in another part of the score."""
        for bar, other in zip(self.bars, others, strict=False):
            bar.repeat_starts |= other.repeat_starts
            bar.repeat_ends = max(bar.repeat_ends, other.repeat_ends)
            bar.ending = bar.ending or other.ending
            bar.ending_stops |= other.ending_stops
            bar.double_bar |= other.double_bar
            bar.final_bar |= other.final_bar
            bar.bare_codas = bar.bare_codas or other.bare_codas
            for jump in other.jumps:
                bar.add_jump(jump)


def read_barline(element: Element, bar: Bar, following: Bar, log: Log) -> None:
    """Take in one `<barline>`.

    Args:
        element: the `<barline>`.
        bar: the measure that it stands in.
        following: the next measure, for signs at this one's end.
        log: takes faults and notices.

    """
    side = element.get("location", "right")
    if side == "middle" and element.find("repeat") is not None:
        log.notice("a repeat in the middle of a measure is taken at the measure's end")
    for child in element:
        tag = child.tag
        if tag == "bar-style":
            style = (child.text or "").strip()
            if side == "right":
                bar.double_bar |= style in {"light-light", "heavy-light", "heavy-heavy"}
                bar.final_bar |= style == "light-heavy" and element.find("repeat") is None
        elif tag == "repeat":
            _read_repeat(child, bar, bar if side == "left" else following, log)
        elif tag == "ending":
            _read_ending(child, bar, log)
        elif tag == "segno":
            (bar if side == "left" else following).add_jump(Jump.SEGNO)
        elif tag == "coda":
            (bar if side == "left" else following).add_jump(Jump.CODA)


def _read_repeat(element: Element, bar: Bar, starting: Bar, log: Log) -> None:
    if element.get("direction") == "forward":
        starting.repeat_starts = True
        return
    times = element.get("times")
    bar.repeat_ends = (log.whole(times, "times of a repeat", low=1, high=64) if times else 2) or 2


def _read_ending(element: Element, bar: Bar, log: Log) -> None:
    if element.get("type") != "start":
        bar.ending_stops = True
        return
    text = element.get("number", "") if any(c.isdigit() for c in element.get("number", "")) else element.text or ""
    if (span := _ENDING_RANGE.fullmatch(text)) is not None:
        bar.ending = tuple(range(int(span.group(1)), int(span.group(2)) + 1))
    else:
        bar.ending = tuple(sorted({int(number) for number in _ENDING_NUMBERS.findall(text)} - {0}))
    if not bar.ending:
        log.notice(f"an ending whose number cannot be read ({text!r}) is played every time")


def jumps_of_sound(sound: Element) -> list[Jump]:
    """Say which jumps a `<sound>` states."""
    return [jump for name, jump in _SOUND_JUMPS if (text := sound.get(name)) is not None and text != "no"]


def jumps_of_words(text: str) -> list[Jump]:
    """Say which jumps words such as "D.S. al Coda" or "Fine" state."""
    return [jump for pattern, jump in _WORD_JUMPS if pattern.search(text)]
