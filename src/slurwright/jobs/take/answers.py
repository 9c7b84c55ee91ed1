"""A measured take as documents: the whole answer in JSON, the tables of its notes and slurs."""

from typing import Any

from slurwright.formats.take_csv import take_notes_csv, take_slurs_csv
from slurwright.formats.take_json import Said, take_answer
from slurwright.jobs.take.measured import MeasuredTake
from slurwright.jobs.take.sentences import note_sentence, slur_sentence, summary_words

__all__ = ["answer_of_take", "notes_table", "slurs_table"]


def answer_of_take(taken: MeasuredTake, *, notices: tuple[str, ...] = ()) -> dict[str, Any]:
    """Write a measured take as JSON values (schema: docs/schemas/take.schema.json).

    Args:
        taken: the take.
        notices: what was assumed or passed over.
    """
    measure = taken.measure
    return take_answer(
        taken.study,
        measure,
        taken.sounds,
        said=Said(
            summary_words(taken),
            tuple(note_sentence(taken, note) for note in measure.notes),
            tuple(slur_sentence(taken, slur) for slur in measure.slurs),
        ),
        a4_hz=taken.a4_hz,
        notices=notices,
        techniques=tuple(taken.technique_at(index) for index in range(len(taken.sounds))),
    )


def notes_table(taken: MeasuredTake) -> str:
    """Write the notes of a take as CSV, one row a note."""
    return take_notes_csv(taken.study, taken.measure, taken.sounds)


def slurs_table(taken: MeasuredTake) -> str:
    """Write the slurs of a take as CSV, one row a slur."""
    return take_slurs_csv(taken.study, taken.measure, taken.sounds)
