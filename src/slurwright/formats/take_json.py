"""A measured take as JSON values that other programs can build on: each note and slur with its place in the part.

The shape is published as ``docs/schemas/take.schema.json``; fields may be added, never renamed.
"""

from dataclasses import dataclass
from typing import Any

from slurwright.formats.measure_json import figure_fields, measure_fields
from slurwright.listen.summary import TakeSummary, summary_of
from slurwright.listen.take import TakeMeasure
from slurwright.plan import Technique
from slurwright.plan.study import Study

__all__ = ["Said", "take_answer"]

Json = dict[str, Any]

_UNITS = {
    "figure": "value with low and high, the interval that holds the truth nine times in ten; or hidden: room, short, "
    "soft or unheard",
    "cents": "cents against the target in equal temperament at a4_hz, sharp above 0; at the centre of a vibrato",
    "drift_cents_s": "cents a second",
    "wander_cents": "cents, standard deviation, drift and vibrato apart",
    "scoop_cents": "cents below the pitch that follows",
    "overshoot_cents": "cents past the second note",
    "rate_hz": "waves a second",
    "extent_cents": "cents from the centre to one side",
    "brightness": "centre of gravity of the spectrum, in harmonics",
    "level_db": "decibels against full scale",
    "time_ms": "milliseconds from within a tenth of the interval of the first pitch to within a tenth of the second",
    "dip_db": "decibels below the straight line between the levels of the two notes",
    "dip_ms": "milliseconds more than 3 dB below that line",
    "silence_ms": "milliseconds more than 20 dB below that line",
    "quality": "from 0, broken, to 1, smooth",
    "outcome_chance": "chance from 0 to 1 that the outcome is right",
    "decay_s": "seconds in which the room's sound falls by 60 dB",
    "direct_db": "decibels of what comes straight from the bell over what the room adds",
    "hz": "hertz; 0 in the track where no pitch is heard",
    "onset_s": "seconds from the start of the recording; of what was asked, from the start of the passage",
    "beat": "beats of the time signature, counted from 1",
}
_PROVENANCE = {
    "cents": "measured in this take",
    "slurs": "measured in this take; how far the figures can be trusted was tried on made-up takes with known truth",
    "quality": "ours, provisional: its limits are common practice, not yet judged by ear on players' takes",
    "series_hz": "what the asked fingerings sound on this horn, as the plan knows it",
}


@dataclass(frozen=True, slots=True)
class Said:
    """The same take in words, each beside the value that it says."""

    summary: tuple[str, ...]
    notes: tuple[str, ...]
    """One for each of ``TakeMeasure.notes``."""
    slurs: tuple[str, ...]
    """One for each of ``TakeMeasure.slurs``."""


def take_answer(
    study: Study,
    measure: TakeMeasure,
    sounds: tuple[int, ...],
    *,
    said: Said,
    a4_hz: float,
    notices: tuple[str, ...] = (),
    techniques: tuple[Technique, ...] = (),
) -> Json:
    """Write a measured take.

    Args:
        study: of the part that was asked for.
        measure: the take.
        sounds: for each asked note its index into ``Line.sounds``.
        said: the take in words.
        a4_hz: what the cents are counted from [Hz].
        notices: what was assumed or passed over.
        techniques: for each asked note the technique tried at the slur from it; empty where nothing was said.
    """
    fields = measure_fields(measure)
    played = measure.following.played
    asked_of = [note.asked for note in played]
    tried = techniques or (Technique.PLAIN,) * len(sounds)
    fields["asked"] = [
        {**asked, **_place_fields(study, sound), "technique": technique.value}
        for asked, sound, technique in zip(fields["asked"], sounds, tried, strict=True)
    ]
    fields["notes"] = [
        {
            **note,
            "asked": asked_of[note["played"]],
            **_heard_fields(study, sounds, asked_of[note["played"]]),
            "played_as": played[note["played"]].played_as.value,
            "said": words,
        }
        for note, words in zip(fields["notes"], said.notes, strict=True)
    ]
    fields["slurs"] = [
        {
            **slur,
            "from": asked_of[slur["first"]],
            "to": asked_of[slur["second"]],
            **_heard_fields(study, sounds, asked_of[slur["first"]]),
            "said": words,
        }
        for slur, words in zip(fields["slurs"], said.slurs, strict=True)
    ]
    return {
        "horn": study.horn.id,
        "tuning": study.horn.tuning,
        "reading": study.reading.id,
        "part": study.part.name,
        "title": study.part.title,
        "a4_hz": a4_hz,
        "notices": list(notices),
        "summary": _summary_fields(summary_of(measure)) | {"said": list(said.summary)},
        **fields,
        "units": _UNITS,
        "provenance": _PROVENANCE,
    }


def _place_fields(study: Study, sound: int) -> Json:
    note = study.part.notes[study.line.sounds[sound].notes[0]]
    way = study.plan.ways[sound]
    return {
        "note": note.index,
        "measure": study.part.measure_of(note).number,
        "beat": float(study.part.beat_of(note)),
        "written": str(note.written),
        "sounding": str(note.sounding),
        "fingering": way.fingering,
    }


def _heard_fields(study: Study, sounds: tuple[int, ...], asked: int | None) -> Json:
    if asked is None:
        return {}
    place = _place_fields(study, sounds[asked])
    return {name: place[name] for name in ("measure", "beat", "written")}


def _summary_fields(summary: TakeSummary) -> Json:
    return {
        "asked": summary.asked,
        "right": summary.right,
        "octave": summary.octave,
        "wrong": summary.wrong,
        "extra": summary.extra,
        "missed": summary.missed,
        "restarts": summary.restarts,
        "tuning_cents": figure_fields(summary.tuning_cents),
        "slurs": {outcome.value: count for outcome, count in summary.outcomes.items()},
        "unjudged": summary.unjudged,
    }
