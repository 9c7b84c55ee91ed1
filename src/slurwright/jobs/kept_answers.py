"""Takes that are kept as JSON values."""

from collections.abc import Mapping, Sequence
from typing import Any

from slurwright.listen.kept import KeptTake

__all__ = ["takes_answer"]


def takes_answer(found: Sequence[KeptTake], horns: Mapping[str, str]) -> dict[str, Any]:
    """List takes (schema: docs/schemas/takes.schema.json).

    Args:
        found: the takes.
        horns: names of the player's horns by their ids.
    """
    return {"takes": [_fields(take, horns) for take in found]}


def _fields(take: KeptTake, horns: Mapping[str, str]) -> dict[str, Any]:
    about, asked = take.about, take.about.asked
    return {
        "id": take.id,
        "played_on": about.played_on.isoformat(),
        "received_at": take.made_at.isoformat(),
        "state": take.state.value,
        "failure": take.failure or None,
        "horn": horns.get(about.horn_id or ""),
        "model": about.model,
        "title": about.part.title,
        "part": about.part.name,
        "file": about.part.file,
        "bars": asked.bars or None,
        "dynamic": asked.dynamic,
        "tempo_qpm": asked.tempo_qpm,
        "a4_hz": asked.a4_hz,
        "length_s": take.length_s,
        "sound_kept": take.sound is not None,
        "remark": about.note,
    }
