"""A studied part, or the ways of one note, as JSON values that other programs can build on.

The shapes are published as JSON Schemas in ``docs/schemas``; fields may be added, never renamed.
"""

from collections.abc import Sequence
from typing import Any

from slurwright.horn import Horn
from slurwright.pitch import SoundingPitch, WrittenPitch
from slurwright.plan import Choice, Plan, SlurReport, Way, tie_groups
from slurwright.plan.study import Study
from slurwright.plan.values import AtHand, LearntRisk

__all__ = ["horn_answer", "learnt_fields", "note_answer", "part_answer", "provenance_of"]

Json = dict[str, Any]

_UNITS = {
    "cents": "cents against equal temperament at A4 = 440 Hz, sharp above 0",
    "cents_tube": "cents, from lengths and the harmonic series alone",
    "spread_cents": "cents, standard deviation",
    "gap_cents": "cents between the two resonances on the first note's air column",
    "break_risk": "chance from 0 to 1",
    "chance_clean": "chance from 0 to 1 that nothing goes wrong in one performance",
    "usual": "chance from 0 to 1",
    "tube_m": "metres, effective length",
    "slide_m": "metres out of the closed position",
    "dynamic_level": "steps from mf",
    "beat": "beats of the time signature, counted from 1",
    "onset_quarter": "quarter notes from the start of the written part",
    "tempo_qpm": "quarter notes per minute",
}

_PROVENANCE = {
    "cents_tube": "derived: harmonic series and exact valve lengths, section by section of the tube",
    "cents": "derived from the catalogue's lengths and the usual setting of the slides; not measured on this horn",
    "spread_cents": "ours, provisional: how far real horns lie from their lengths",
    "normal": "common practice, see the catalogue's source keys",
    "usual": "ours, provisional",
    "break_risk": "prior: common practice put into figures, provisional, not yet learnt from the player",
    "chance_clean": "prior: product of the chances of all notes, slurs and finger changes",
}


def provenance_of(horn: Horn) -> Json:
    """Say of each kind of figure where it comes from on a horn."""
    if not horn.measured_tones:
        return dict(_PROVENANCE)
    tones = f"{horn.measured_tones} tone{'' if horn.measured_tones == 1 else 's'}"
    learnt = f"learnt from {tones} measured on this horn, with the catalogue's lengths as prior"
    return {
        **_PROVENANCE,
        "cents": learnt,
        "spread_cents": f"{learnt}: standard deviation of what is still not known of the way",
    }


def _provenance(study: Study) -> Json:
    """Say where the figures of a studied part come from."""
    found = provenance_of(study.horn)
    if study.learnt_from is not None and not study.priors_only:
        found["break_risk"] = "learnt from the player's attempts as far as these reach; learnt says of each"
        found["chance_clean"] = "product of the chances of all notes, slurs and finger changes, learnt or prior"
    return found


def _rounded(value: float, digits: int = 2) -> float:
    return round(value, digits) + 0.0


def way_fields(way: Way, horn: Horn) -> Json:
    """Write one way."""
    fields: Json = {
        "fingering": way.fingering,
        "partial": way.partial,
        "cents": _rounded(way.cents),
        "cents_tube": _rounded(way.cents_tube),
        "spread_cents": _rounded(way.spread_cents),
        "normal": way.normal,
        "usual": _rounded(way.usual, 3),
        "tube_m": _rounded(way.setting.ratio * horn.open_length_m, 4),
        "why": way.why,
    }
    if way.setting.slide_position is not None:
        fields["slide_position"] = _rounded(way.setting.slide_position)
        fields["slide_m"] = _rounded(way.setting.slide_m, 4)
    return fields


def note_answer(
    sounding: SoundingPitch,
    written: WrittenPitch,
    horn: Horn,
    ways: Sequence[Way],
    *,
    at_hand: Sequence[AtHand] = (),
) -> Json:
    """Write the ways of one note, best first.

    Args:
        sounding: the note.
        written: the same as the player reads it.
        horn: the horn.
        ways: every way, best first.
        at_hand: what is known of the player's fingers at each; empty where nothing is.
    """
    fields = [way_fields(way, horn) for way in ways]
    for one, hand in zip(fields, at_hand, strict=False):
        one["at_hand"] = {"learnt": _rounded(hand.learnt, 4), "prior": _rounded(hand.prior, 4)}
    return {
        "sounding": str(sounding),
        "written": str(written),
        "horn": horn.id,
        "tuning": horn.tuning,
        "ways": fields,
        "ties": [[f"{way.fingering}@{way.partial}" for way in group] for group in tie_groups(ways) if len(group) > 1],
        "units": _UNITS,
        "provenance": provenance_of(horn),
    }


def horn_answer(horn: Horn) -> Json:
    """Write one horn of the catalogue."""
    return {
        "id": horn.id,
        "name": horn.name,
        "kind": horn.kind.value,
        "open_pitch": str(horn.open_pitch),
        "readings": [
            {
                "id": reading.id,
                "name": reading.name,
                "clef": reading.clef.value,
                "sounding_minus_written_semitones": reading.transposition.semitones,
            }
            for reading in horn.readings
        ],
        "comfortable": [str(pitch) for pitch in horn.comfortable],
        "possible": [str(pitch) for pitch in horn.possible],
        "tuning": horn.tuning,
        "fingerings": [setting.fingering for setting in horn.settings],
    }


def _note_fields(study: Study, index: int, sound: int) -> Json:
    note = study.part.notes[index]
    measure = study.part.measure_of(note)
    way = study.plan.ways[sound]
    level = study.line.sounds[sound].dynamic
    return {
        "index": index,
        "measure": measure.number,
        "beat": float(study.part.beat_of(note)),
        "onset_quarter": float(note.onset_quarter),
        "duration_quarter": float(note.duration_quarter),
        "written": str(note.written),
        "sounding": str(note.sounding),
        "dynamic": dynamic_name(level),
        "dynamic_level": _rounded(level),
        "tied_from_previous": note.tied_from_previous,
        "grace": note.grace,
        "times": study.line.sounds[sound].times,
        **way_fields(way, study.horn),
        "alternatives": [
            way_fields(other, study.horn)
            for other in study.ways[sound]
            if (other.fingering, other.partial) != (way.fingering, way.partial)
        ],
    }


def dynamic_name(level: float) -> str:
    """Name the mark nearest to a dynamic.

    Args:
        level: from mf [steps].
    """
    names = ("pppp", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "ffff")
    return names[min(max(round(level) + 5, 0), len(names) - 1)]


def _choice_fields(choice: Choice) -> Json:
    return {
        "name": choice.name,
        "technique": choice.technique.value,
        "fingerings": [way.fingering for way in choice.ways],
        "break_risk": _rounded(choice.break_risk, 4),
        **learnt_fields(choice.learnt),
        "cents": _rounded(choice.cents_cost),
        "cents_each": [_rounded(cents) for cents in choice.cents],
        "chance_around": _rounded(choice.chance_around, 4),
        "fingers": choice.fingers,
        "why": choice.why,
    }


def learnt_fields(learnt: LearntRisk | None) -> Json:
    """Write what attempts make of a break risk; nothing where nothing is known of the player."""
    if learnt is None:
        return {}
    return {
        "learnt": {
            "basis": learnt.basis.value,
            "risk": _rounded(learnt.risk, 4),
            "low": _rounded(learnt.low, 4),
            "high": _rounded(learnt.high, 4),
            "attempts": _rounded(learnt.attempts),
            "prior": _rounded(learnt.prior, 4),
        }
    }


def _slur_fields(study: Study, report: SlurReport, number: int | None) -> Json:
    move = study.line.moves[report.move]
    return {
        "from": study.line.sounds[move.source].notes[-1],
        "to": study.line.sounds[move.target].notes[0],
        "kind": report.kind.value,
        "crossings": report.crossings,
        "gap_cents": _rounded(report.gap_cents),
        "direction": report.direction,
        "break_risk": _rounded(report.break_risk, 4),
        **learnt_fields(report.learnt),
        "weak": report.weak,
        "number": number,
        "choices": [_choice_fields(choice) for choice in report.choices],
        "advice": report.advice,
    }


def _plan_fields(plan: Plan) -> Json:
    return {
        "fingerings": [way.fingering for way in plan.ways],
        "partials": [way.partial for way in plan.ways],
        "techniques": [technique.value for technique in plan.techniques],
        "changes": plan.changes,
        "cost": _rounded(plan.cost, 6),
        "chance_clean": _rounded(plan.chance_clean, 6),
        "chance_in_tune": _rounded(plan.chance_in_tune, 6),
        "chance_slurs": _rounded(plan.chance_slurs, 6),
        "chance_fingers": _rounded(plan.chance_fingers, 6),
    }


def part_answer(study: Study) -> Json:
    """Write a studied part.

    Args:
        study: the studied part.
    """
    sound_of_note = study.line.sound_of_note()
    numbers = {report.move: number for number, report in enumerate(study.weak, start=1)}
    answer = {
        "horn": study.horn.id,
        "tuning": study.horn.tuning,
        "reading": study.reading.id,
        "part": study.part.name,
        "title": study.part.title,
        "notices": [str(notice) for notice in study.notices],
        "notes": [
            _note_fields(study, note.index, sound_of_note[note.index])
            for note in study.part.notes
            if note.index in sound_of_note
        ],
        "slurs": [_slur_fields(study, report, numbers.get(report.move)) for report in study.reports],
        "chance_clean": _rounded(study.plan.chance_clean, 6),
        "plans": [_plan_fields(plan) for plan in study.plans],
        "units": _UNITS,
        "provenance": _provenance(study),
    }
    if study.learnt_from is not None:
        until = study.learnt_from.until
        answer["learnt_from"] = {
            "attempts": study.learnt_from.attempts,
            "until": None if until is None else until.isoformat(),
            "priors_only": study.priors_only,
        }
    if study.otherwise is not None:
        answer["otherwise"] = _plan_fields(study.otherwise)
    if study.trade_offs:
        answer["trade_offs"] = [_plan_fields(plan) for plan in study.trade_offs]
    return answer
