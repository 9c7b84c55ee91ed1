"""How a player's progress is said, so that terminal, page and answer say the same."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType

from slurwright.evidence.progress.values import (
    NoteCurve,
    SlurCurve,
    SlurProgress,
    TakeOffset,
    Verdict,
)
from slurwright.jobs.progress.gathered import ProgressAnswer
from slurwright.jobs.take.words import counted
from slurwright.jobs.words import cents_text, percent
from slurwright.listen.figure import Figure
from slurwright.plan import Technique

__all__ = [
    "HOW_TO_READ",
    "NOTHING_YET",
    "VERDICTS",
    "Section",
    "chance_text",
    "how_text",
    "note_title",
    "note_verdict",
    "sections_of",
    "slur_title",
    "slur_verdict",
]

NOTHING_YET = (
    "Nothing was tried yet. Keep a take on a horn of your own (slurwright take measure RECORDING FILE --horn NAME), "
    "or log by ear what became of a slur (slurwright tried log FILE 12:3 good rough missed --horn NAME)."
)
HOW_TO_READ = (
    "Chances are learnt from all of your attempts, each slur's own first; an interval holds the truth nine times in "
    "ten. All weeks of one line are meant under the same circumstances, the middle ones of its attempts.",
    "Spoke counts are raw: how many attempts spoke cleanly, as far as a recording or an ear could tell, of how many. "
    "What was rough to the ear did not; in the chance it is weighed with some doubt, as every verdict is.",
)
VERDICTS: Mapping[Verdict, str] = MappingProxyType(
    {
        Verdict.BETTER: "Got better",
        Verdict.WORSE: "Got worse",
        Verdict.SAME: "Practised, and not clearly changed",
        Verdict.HOLDS: "Good, and stays so",
        Verdict.UNKNOWN: "Too little known to say",
    }
)
_MOST_SENTENCES = 20
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and what stands under it, a sentence each."""

    heading: str
    sentences: tuple[str, ...]


def _day_text(day: date, *, today: date) -> str:
    """Say a day: "7 Sep", with the year where it is another than this one."""
    words = f"{day.day} {_MONTHS[day.month - 1]}"
    return words if day.year == today.year else f"{words} {day.year}"


def chance_text(figure: Figure) -> str:
    """Say a chance with its interval: "88 % (74 to 95)"."""
    low, high = (percent(end).removesuffix(" %") for end in (figure.low, figure.high))
    return f"{percent(figure.value)} ({low} to {high})"


def _change_text(figure: Figure) -> str:
    """Say a change of a chance in points of a hundred: "+47 (+22 to +68)"."""
    return "{} ({} to {})".format(*(cents_text(100.0 * end) for end in (figure.value, figure.low, figure.high)))


def slur_title(slur: SlurProgress) -> str:
    """Name a slur by its notes, and where it was tried last: "F3 to Bb3 (12:3)"."""
    first, second = slur.notes
    return f"{first} to {second}" + (f" ({slur.label})" if slur.label else "")


def how_text(curve: SlurCurve) -> str:
    """Say how a slur was played: "0 to 1, legato tongue"."""
    first, second = (way.fingering for way in curve.ways)
    technique = "" if curve.normal else f", {Technique(curve.technique).said}"
    return f"{first} to {second}{technique}"


def slur_verdict(curve: SlurCurve, *, today: date, least: float) -> str:
    """Say what became of one way to play a slur, in a few words.

    Args:
        curve: of it.
        today: the day it is.
        least: so many attempts are needed to say anything [1].
    """
    if curve.verdict is Verdict.UNKNOWN:
        if curve.tried < least:
            return f"{counted(curve.tried, 'attempt')}: too few to say"
        if curve.days == 1:
            return "all on one day: come back to it"
        return f"{counted(curve.tried, 'attempt')}: not clear yet"
    since = _day_text(curve.change.start.day, today=today)
    size = _change_text(curve.change.size)
    if curve.verdict is Verdict.HOLDS:
        return "good, and stays so"
    if curve.verdict is Verdict.SAME:
        return f"{size} in 100 since {since}, not clear"
    better = curve.verdict is Verdict.BETTER
    sure = percent(curve.change.better if better else 1.0 - curve.change.better)
    return f"{size} in 100 since {since}, {sure} sure that it is {'better' if better else 'worse'}"


def note_title(note: NoteCurve) -> str:
    """Name a note with its fingering: "F3 on 1"."""
    return f"{note.way.written} on {note.way.fingering}"


def note_verdict(note: NoteCurve, *, today: date) -> str:
    """Say how a note lies now and what became of it, in a few words."""
    now = _cents(note.curve[-1].value)
    takes = counted(len(note.points), "take")
    if note.verdict is Verdict.UNKNOWN:
        return f"{now} cents; {takes} on {counted(note.days, 'day')}: too few to say how it changes"
    start = note.change.start
    was = f"{cents_text(start.value.value)} on {_day_text(start.day, today=today)}"
    said = f"{now} cents, {was}"
    if note.verdict in {Verdict.SAME, Verdict.HOLDS}:
        return f"{said}: not clearly changed"
    better = note.verdict is Verdict.BETTER
    size = note.change.size
    ends = sorted(
        abs(end) if size.low * size.high > 0 else (end if better else -end) for end in (size.low, size.high)
    )
    sure = percent(note.change.better if better else 1.0 - note.change.better)
    way = "nearer to" if better else "further from"
    return f"{said}: {abs(size.value):.0f} cents ({ends[0]:.0f} to {ends[1]:.0f}) {way} its target, {sure} sure"


def _cents(figure: Figure) -> str:
    return "{} ({} to {})".format(*(cents_text(end) for end in (figure.value, figure.low, figure.high)))


def sections_of(answer: ProgressAnswer) -> tuple[Section, ...]:
    """Say what got better, what did not, what is to be dropped and what is too little known, a sentence each."""
    several = len(answer.horns) > 1
    found: list[Section] = []
    by_verdict: dict[Verdict, list[str]] = {verdict: [] for verdict in VERDICTS}
    few: list[str] = []
    least = answer.table.slurs.least_attempts
    for slur in answer.progress.slurs:
        whose = f" on {answer.horns[slur.horn]}" if several else ""
        for curve in slur.curves:
            if curve.tried < least:
                few.append(
                    f"{' to '.join(slur.notes)}{whose}, {how_text(curve)}: {curve.spoke} of {curve.tried} spoke"
                )
            else:
                by_verdict[curve.verdict].append(_slur_sentence(slur, curve, whose, answer))
    drops = tuple(
        _drop_sentence(slur, curve)
        for slur in answer.progress.slurs
        for curve in slur.curves
        if curve.versus is not None and curve.versus.drop
    )
    for verdict, heading in VERDICTS.items():
        if verdict is Verdict.UNKNOWN and drops:
            found.append(Section("To drop", drops))
        if by_verdict[verdict]:
            found.append(Section(heading, _first_of(by_verdict[verdict])))
    if few:
        found.append(Section(f"Fewer than {least:.0f} attempts: too few to say", (f"{'; '.join(_first_of(few))}.",)))
    return (*found, *_note_sections(answer))


def _first_of(sentences: Sequence[str]) -> tuple[str, ...]:
    """As many sentences as anybody reads, and how many more there are."""
    more = len(sentences) - _MOST_SENTENCES
    return (*sentences[:_MOST_SENTENCES], *([f"and {more} more, which the table holds"] if more > 0 else ()))


def _slur_sentence(slur: SlurProgress, curve: SlurCurve, whose: str, answer: ProgressAnswer) -> str:
    verdict = slur_verdict(curve, today=answer.today, least=answer.table.slurs.least_attempts)
    spoke = f"{curve.spoke} of {curve.tried} spoke"
    name = f"{slur_title(slur)}{whose}, {how_text(curve)}"
    if curve.verdict is Verdict.UNKNOWN:
        return f"{name}: {verdict} ({spoke})."
    last = _day_text(curve.change.end.day, today=answer.today)
    now = f"{name}: speaks {chance_text(curve.change.end.value)} of the time as of {last}"
    return f"{now}; {spoke}." if curve.verdict is Verdict.HOLDS else f"{now}; {verdict}; {spoke}."


def _drop_sentence(slur: SlurProgress, curve: SlurCurve) -> str:
    normal, versus = slur.curves[0], curve.versus
    if versus is None:
        return ""
    sure = percent(1.0 - versus.better)
    return (
        f"{slur_title(slur)}, {how_text(curve)}: no better than {how_text(normal)}, the normal way, after "
        f"{curve.tried} attempts against {normal.tried}: {_change_text(versus.size)} in 100, {sure} sure that the "
        "normal way speaks more often. Practise that one, and leave this."
    )


def _note_sections(answer: ProgressAnswer) -> Iterator[Section]:
    told = [note for note in answer.progress.notes if note.verdict in {Verdict.BETTER, Verdict.WORSE}]
    if told:
        sentences = tuple(f"{note_title(note)}: {note_verdict(note, today=answer.today)}." for note in told)
        yield Section("Notes whose pitch changed", sentences)
    off = [one for one in answer.progress.offsets if one.told]
    if off:
        yield Section("Whole takes that were off", tuple(_offset_sentence(one, answer.today) for one in off))


def _offset_sentence(one: TakeOffset, today: date) -> str:
    way = "sharp" if one.cents.value > 0 else "flat"
    low, high = sorted((abs(one.cents.low), abs(one.cents.high)))
    return (
        f"{_day_text(one.day, today=today)}, take {one.take_id[:8]}: {abs(one.cents.value):.0f} cents "
        f"({low:.0f} to {high:.0f}) {way} of your other takes as a whole; taken out of every note's curve."
    )
