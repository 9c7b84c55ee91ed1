"""A measured take as a picture: what is written at each note and slur, and the rows drawn from it."""

from slurwright.jobs.take.measured import MeasuredTake
from slurwright.jobs.take.sentences import note_sentence, slur_sentence
from slurwright.jobs.take.words import SURE, figure_text, heard_name, slur_sign_text
from slurwright.jobs.words import in_print
from slurwright.listen.figure import Figure, Hidden, Veil
from slurwright.listen.followed import PlayedAs
from slurwright.listen.measures import NoteMeasure, Reason, SlurMeasure, SlurOutcome
from slurwright.listen.telling import telling
from slurwright.listen.thinning import thinned
from slurwright.picture.columns import columns_of
from slurwright.picture.shapes import Picture
from slurwright.picture.take.scene import NoteSaid, SlurSaid, TakeScene, scene_of
from slurwright.picture.take.strip import take_rows

__all__ = ["take_drawings", "take_scene"]

_DRAWN_STEP_S = 0.01
_SCOOP_CENTS, _DRIFT_CENTS = 15.0, 15.0
"""From here a scoop or a drift gets a word in the picture; ours [cents]."""
_VEIL_SIGNS = {
    Veil.ROOM: "room",
    Veil.SHORT: "short",
    Veil.SOFT: "soft",
    Veil.UNHEARD: "unheard",
    Veil.BETWEEN: "between",
}


def take_drawings(taken: MeasuredTake, *, width_mm: float = 180.0) -> tuple[Picture, ...]:
    """Draw a take without notation, one picture a row.

    Args:
        taken: the take.
        width_mm: of each picture [mm].
    """
    return take_rows(take_scene(taken), width_mm=width_mm)


def take_scene(taken: MeasuredTake) -> TakeScene:
    """Gather what a picture of a take shows."""
    columns = columns_of(taken.study.part, taken.study.line)
    measure = taken.measure
    notes = {
        index: NoteSaid("", _heard(taken, index), sentence=f"{_heard(taken, index)} sounded, which nobody asked for.")
        for index in range(len(measure.following.played))
    }
    notes |= {note.played: _note(taken, note) for note in measure.notes}
    return scene_of(
        measure,
        thinned(measure.track, _DRAWN_STEP_S),
        columns=[columns[sound] for sound in taken.sounds],
        notes=notes,
        slurs=[_slur(taken, slur) for slur in measure.slurs],
    )


def _heard(taken: MeasuredTake, played: int) -> str:
    """Name what sounded with the signs of print, as the player reads it."""
    name = heard_name(taken, taken.measure.following.played[played].hz)
    return name.replace("b", "♭").replace("#", "♯")


def _note(taken: MeasuredTake, note: NoteMeasure) -> NoteSaid:
    played = taken.measure.following.played[note.played]
    sentence = note_sentence(taken, note)
    if played.played_as is not PlayedAs.ASKED:
        return NoteSaid("", _heard(taken, note.played), sentence=sentence)
    if isinstance(note.cents, Hidden):
        return NoteSaid(f"? {_VEIL_SIGNS[note.cents.why]}", "?", sentence=sentence)
    figure = figure_text(note.cents, signed=True).replace("-", "−")
    short = f"{round(note.cents.value) + 0:+d}".replace("-", "−").replace("+0", "0")
    return NoteSaid(figure, short, _besides(note), sentence)


def _besides(note: NoteMeasure) -> str:
    scoop, drift = note.scoop_cents, note.drift_cents_s
    if isinstance(scoop, Figure) and scoop.low >= _SCOOP_CENTS:
        return f"from {scoop.value:.0f} below"
    length_s = note.steady_s[1] - note.steady_s[0]
    if isinstance(drift, Figure) and drift.low * drift.high > 0 and abs(drift.value) * length_s >= _DRIFT_CENTS:
        return f"{'rises' if drift.value > 0 else 'sinks'} {abs(drift.value) * length_s:.0f}"
    return ""


def _slur(taken: MeasuredTake, slur: SlurMeasure) -> SlurSaid:
    sentence = slur_sentence(taken, slur)
    if slur.outcome is SlurOutcome.CLEAN and not telling(slur):
        hidden = isinstance(slur.quality, Hidden)
        words = f"? {_VEIL_SIGNS[slur.quality.why]}" if isinstance(slur.quality, Hidden) else ""
        return SlurSaid(words if hidden else "", "?" if hidden else "", sentence)
    words = slur_sign_text(taken, slur)
    if slur.outcome_chance < SURE:
        words = f"{words}?"
    short = words.split(" ")[0] if telling(slur)[:1] != (Reason.FELL_BACK,) else "back"
    return SlurSaid(in_print(words), short.rstrip("?,"), sentence)
