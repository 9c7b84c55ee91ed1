"""A measured take as people read it in a terminal: the whole, each slur, each note, how good the recording is.

Meaning is never told by colour alone: what went wrong has a sign of its own at the start of its line.
"""

from rich.console import Console
from rich.text import Text

from slurwright.cli.console import columns, hang, heading, item, people_console
from slurwright.jobs.take.measured import MeasuredTake
from slurwright.jobs.take.sentences import note_words, slur_words, summary_words
from slurwright.jobs.take.words import PROVISIONAL, figure_text, heard_name, level_words, room_words
from slurwright.jobs.words import CAUTIONS, beat_text, cents_text, note_name, part_name, title_of
from slurwright.listen.figure import Figure
from slurwright.listen.followed import PlayedAs
from slurwright.listen.measures import NoteMeasure, SlurMeasure, SlurOutcome
from slurwright.listen.summary import summary_of
from slurwright.listen.telling import telling

__all__ = ["print_take"]

_OUTCOME_SIGNS = {
    SlurOutcome.CLEAN: "",
    SlurOutcome.TONGUED: "t",
    SlurOutcome.BROKE: "X",
    SlurOutcome.WRONG_NOTE: "W",
}
_OUT_CENTS = (10.0, 20.0)
"""From here a note is noticed in a melody, and here it is heard as wrong by most (published for the first: Hill and
Summers, JASA 121 (2007) 2376; the second common practice) [cents]."""
_MANY = 80
"""Of more notes only those are printed that something is to be said of; ours [1]."""
_SCALE_CENTS = 30.0
_SCALE_CELLS = 6


def print_take(taken: MeasuredTake, *, notices: tuple[str, ...] = (), console: Console | None = None) -> None:
    """Print a measured take for people.

    Args:
        taken: the take.
        notices: what was assumed or passed over.
        console: where to; None for standard output.
    """
    console = console or people_console()
    study = taken.study
    console.print(Text(title_of(study), style="bold"))
    whose = f"Part: {part_name(study)}. " if part_name(study) else ""
    tuned = f"A4 = {taken.a4_hz:g} Hz"
    words = f"{whose}Horn: {study.horn.name}. Read in {study.reading.name}; {tuned}."
    hang("", words.split(" "), console)
    for notice in notices:
        item(f"note: {notice}", console)
    heading("The take", console)
    for sentence in summary_words(taken):
        item(sentence, console)
    _slurs(taken, console)
    _notes(taken, console)
    heading("The recording", console)
    for sentence in (*level_words(taken.measure.level), room_words(taken.measure.room)):
        item(sentence, console)
    heading("What the figures are worth", console)
    for sentence in (*PROVISIONAL, CAUTIONS[0]):
        item(sentence, console)


def _slurs(taken: MeasuredTake, console: Console) -> None:
    heading("Slurs", console)
    if not taken.measure.slurs:
        console.print(Text("  None was played that could be judged."))
        return
    spoilt = [slur for slur in taken.measure.slurs if slur.outcome is not SlurOutcome.CLEAN or telling(slur)]
    clean = len(taken.measure.slurs) - len(spoilt)
    rows = [_slur_row(taken, slur) for slur in spoilt]
    if rows:
        columns([("", "bar", "beat", "slur", "smooth", "what happened"), *rows], console, right={1, 2, 4})
        item("X broke, t tongued, W landed on another note; smooth runs from 0 to 1", console)
    if clean:
        item(f"{'The other ' if spoilt else 'All '}{clean} spoke with nothing to say against them.", console)


def _slur_row(taken: MeasuredTake, slur: SlurMeasure) -> tuple[str, ...]:
    played = taken.measure.following.played
    first, second = played[slur.first].asked, played[slur.second].asked
    bar, beat, start = _place(taken, first)
    quality = f"{slur.quality.value:.2f}" if isinstance(slur.quality, Figure) else "-"
    return (
        _OUTCOME_SIGNS[slur.outcome],
        bar,
        beat,
        f"{start} to {_place(taken, second)[2]}",
        quality,
        slur_words(taken, slur),
    )


def _place(taken: MeasuredTake, asked: int | None) -> tuple[str, str, str]:
    if asked is None:
        return "", "", ""
    study, sound = taken.study, taken.sounds[asked]
    note = study.part.notes[study.line.sounds[sound].notes[0]]
    return study.part.measure_of(note).number, beat_text(study.part.beat_of(note)), note_name(study, sound)


def _notes(taken: MeasuredTake, console: Console) -> None:
    """Print a row a sound in order of time; what was missed, and what nobody asked for, among them."""
    heading("Notes", console)
    measure = taken.measure
    middle = summary_of(measure).tuning_cents
    middle_cents = middle.value if isinstance(middle, Figure) else 0.0
    measured = {note.played: note for note in measure.notes}
    rows: list[tuple[str, ...]] = []
    missed = sorted(measure.following.missed)
    for index, played in enumerate(measure.following.played):
        if index in measure.following.restarts:
            rows.append(("<-", "", "", "", "", "", "", "back to another place"))
        while missed and played.asked is not None and played.asked > missed[0]:
            rows.append(("-", *_place(taken, missed.pop(0)), "", "", "", "did not sound"))
        if played.asked is None:
            rows.append(("+", "", "", "", "", "", "", f"extra sound, {heard_name(taken, played.hz)}"))
        elif index in measured:
            rows.append(_note_row(taken, measured[index], middle_cents))
    told = [row for row in rows if row[0] or row[-1]]
    left = len(rows) - len(told) if len(rows) > _MANY else 0
    rows = told if left else rows
    columns(
        [("", "bar", "beat", "note", "cents", "flat | sharp", "in take", "besides"), *rows],
        console,
        right={1, 2, 4, 6},
    )
    if left:
        item(f"{left} more notes, with nothing to say against them, stand in the table of --notes", console)
    item(
        f"cents against the target, with the interval; the picture reaches {_SCALE_CENTS:.0f} cents either way; "
        f"! {_OUT_CENTS[0]:.0f} cents and more, !! {_OUT_CENTS[1]:.0f} and more; in take: against the middle of the "
        "take",
        console,
    )


def _note_row(taken: MeasuredTake, note: NoteMeasure, middle_cents: float) -> tuple[str, ...]:
    played = taken.measure.following.played[note.played]
    place = _place(taken, played.asked)
    words = note_words(taken, note)
    if played.played_as is not PlayedAs.ASKED:
        return ("W" if played.played_as is PlayedAs.WRONG else "8", *place, "", "", "", words)
    if not isinstance(note.cents, Figure):
        return ("?", *place, "", "", "", words)
    value = note.cents.value
    sign = "!" * sum(abs(round(value)) >= limit for limit in _OUT_CENTS)
    besides = words.partition(", ")[2]
    return (
        sign,
        *place,
        figure_text(note.cents, signed=True),
        _pictured(value),
        cents_text(value - middle_cents),
        besides,
    )


def _pictured(cents: float) -> str:
    """Draw how far out a note is: a mark on a line of letters, the target in the middle."""
    cells = ["."] * (2 * _SCALE_CELLS + 1)
    cells[_SCALE_CELLS] = "|"
    place = round(cents / _SCALE_CENTS * _SCALE_CELLS)
    if abs(place) > _SCALE_CELLS:
        cells[0 if place < 0 else -1] = "<" if place < 0 else ">"
    else:
        cells[_SCALE_CELLS + place] = "o"
    return "".join(cells)
