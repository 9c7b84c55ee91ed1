"""A player's progress as an answer in JSON."""

from typing import Any

from slurwright.formats.progress_json import note_fields, offset_fields, slur_fields
from slurwright.jobs.progress.gathered import ProgressAnswer
from slurwright.jobs.progress.words import sections_of

__all__ = ["progress_answer"]


def progress_answer(answer: ProgressAnswer) -> dict[str, Any]:
    """Write how a player got on (schema: docs/schemas/progress.schema.json).

    Args:
        answer: how they got on.
    """
    names, told = answer.horns, answer.progress
    return {
        "player": answer.player.name,
        "day": answer.today.isoformat(),
        "since": answer.since.isoformat() if answer.since else None,
        "part": answer.part or None,
        "attempts": answer.attempts,
        "said": [
            {"heading": section.heading, "sentences": list(section.sentences)} for section in sections_of(answer)
        ],
        "slurs": [{"horn": names[slur.horn], **slur_fields(slur)} for slur in told.slurs],
        "notes": [{"horn": names[note.horn], **note_fields(note)} for note in told.notes],
        "whole_takes": [{"horn": names[one.horn], **offset_fields(one)} for one in told.offsets],
        "notices": list(told.notices),
        "units": {
            "chances": "0 to 1: value, and the interval that holds the truth nine times in ten",
            "cents": "cents against the target, sharp above 0; what the whole take is off taken out",
            "by": "above 0 is better: chance of speaking, or cents nearer to the target",
            "dynamic": "steps from mf",
        },
    }
