"""A measured take as files that others can read: JSON with its words, and tables of its notes and slurs."""

from typing import Any

from slurwright.formats.take_csv import take_notes_csv, take_slurs_csv
from slurwright.formats.take_json import Said, take_answer
from slurwright.jobs.measured import MeasuredTake
from slurwright.jobs.take_sentences import note_sentence, slur_sentence, summary_words

__all__ = ["notes_table", "slurs_table", "take_json"]


def take_json(taken: MeasuredTake, *, notices: tuple[str, ...] = ()) -> dict[str, Any]:
    """Write a take as JSON values, every note and slur in words beside its figures.

    Args:
        taken: the take.
        notices: what was assumed or passed over.
    """
    measure = taken.measure
    said = Said(
        summary=summary_words(taken),
        notes=tuple(note_sentence(taken, note) for note in measure.notes),
        slurs=tuple(slur_sentence(taken, slur) for slur in measure.slurs),
    )
    techniques = tuple(taken.technique_at(asked) for asked in range(len(taken.sounds)))
    return take_answer(
        taken.study,
        measure,
        taken.sounds,
        said=said,
        a4_hz=taken.a4_hz,
        notices=notices,
        techniques=techniques,
    )


def notes_table(taken: MeasuredTake) -> str:
    """Write the notes of a take as CSV, a row each."""
    return take_notes_csv(taken.study, taken.measure, taken.sounds)


def slurs_table(taken: MeasuredTake) -> str:
    """Write the slurs of a take as CSV, a row each."""
    return take_slurs_csv(taken.study, taken.measure, taken.sounds)
