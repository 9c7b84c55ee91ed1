"""A measured take as the store keeps it: what it is of, and every note and slur with what was asked and tried."""

import json
from dataclasses import replace
from datetime import date

from slurwright.jobs.passage import AskedPassage, pace_of
from slurwright.jobs.take.answers import answer_of_take
from slurwright.jobs.take.measure import TakeRequest
from slurwright.jobs.take.measured import MeasuredTake
from slurwright.jobs.tried import label_at
from slurwright.listen.kept import (
    AskedFor,
    KeptMeasures,
    KeptNote,
    KeptSlur,
    TakeAbout,
    TakenPart,
    TakenWay,
)
from slurwright.listen.measures import NoteMeasure, SlurMeasure
from slurwright.listen.slur_pairs import unspoken_slurs
from slurwright.listen.slurs import unspoken
from slurwright.plan import Technique
from slurwright.plan.study import Study
from slurwright.score.fingerprint import fingerprint

__all__ = ["METHOD", "about_take", "kept_measures", "on_kept_ways", "tried_before"]

METHOD = "1"
"""Version of the measuring; another one where figures change their meaning."""
_SCHEMA = 1
"""Version of the document of the measures."""


def about_take(
    study: Study,
    asked: AskedPassage,
    request: TakeRequest,
    *,
    owner: tuple[str, str],
    file: str,
    played_on: date,
    dynamic: str | None = None,
    tempo_qpm: float | None = None,
    temperature_c: float | None = None,
    remark: str = "",
    keeps_sound: bool = True,
) -> TakeAbout:
    """Say what a take is of, before anything is measured.

    Args:
        study: of the part, written out as it is played.
        asked: what of it was asked.
        request: what the player says of the take.
        owner: ids of the player and of their horn.
        file: name of the notation file.
        played_on: the day.
        dynamic: mark that was asked for throughout; None for the part's own.
        tempo_qpm: asked for at the start; None for the part's own [quarters per minute].
        temperature_c: air in the horn; None where it is not known [degC].
        remark: what the player wants to remember.
        keeps_sound: False removes the recording once the figures are kept.
    """
    player_id, horn_id = owner
    return TakeAbout(
        player_id=player_id,
        horn_id=horn_id,
        model=study.horn.id,
        tuning=study.horn.tuning,
        part=TakenPart(file, fingerprint(study.part), study.part.title, study.part.name),
        asked=AskedFor(
            first=asked.sounds[0],
            last=asked.sounds[-1],
            bars=request.bars or "",
            reading=study.reading.id,
            dynamic=dynamic,
            tempo_qpm=tempo_qpm,
            a4_hz=request.a4_hz,
            temperature_c=temperature_c,
        ),
        played_on=played_on,
        note=remark,
        keeps_sound=keeps_sound,
    )


def kept_measures(taken: MeasuredTake, *, notices: tuple[str, ...] = ()) -> KeptMeasures:
    """Say of every note and slur what was asked, tried and measured.

    Args:
        taken: the take.
        notices: what was assumed or passed over; they go into the document.
    """
    measure = taken.measure
    document = answer_of_take(taken, notices=notices)
    return KeptMeasures(
        notes=tuple(_note(taken, note) for note in measure.notes),
        slurs=_slurs(taken),
        length_s=measure.length_s,
        method=METHOD,
        measures_json=json.dumps(document, ensure_ascii=False, separators=(",", ":")),
        schema=_SCHEMA,
    )


def _asked(taken: MeasuredTake, played: int) -> int:
    asked = taken.measure.following.played[played].asked
    if asked is None:
        raise ValueError("a note that was not asked has no place in the part")
    return asked


def _way(taken: MeasuredTake, asked: int) -> TakenWay:
    sound = taken.study.line.sounds[taken.sounds[asked]]
    way = taken.study.plan.ways[sound.index]
    return TakenWay(taken.study.part.notes[sound.notes[0]].written, sound.sounding, way.fingering, way.partial)


def _note(taken: MeasuredTake, note: NoteMeasure) -> KeptNote:
    played = taken.measure.following.played[note.played]
    asked = _asked(taken, note.played)
    into = asked > 0 and taken.measure.passage.notes[asked - 1].slurred_to_next
    return KeptNote(
        asked=asked,
        label=label_at(taken.study, taken.sounds[asked]),
        way=_way(taken, asked),
        technique=taken.technique_at(asked - 1).value if into else None,
        dynamic=taken.study.line.sounds[taken.sounds[asked]].dynamic,
        played_as=played.played_as,
        onset_s=played.onset_s,
        offset_s=played.offset_s,
        measure=note,
    )


def _slurs(taken: MeasuredTake) -> tuple[KeptSlur, ...]:
    """Every slur that was tried, those whose second note never came among them, in order of time."""
    measure = taken.measure
    found = [(slur, _asked(taken, slur.second)) for slur in measure.slurs]
    found += [(unspoken(first), second) for first, second in unspoken_slurs(measure.following, measure.passage)]
    pace = pace_of(taken.study)
    return tuple(
        _slur(taken, slur, second, pace=pace) for slur, second in sorted(found, key=lambda one: one[0].first)
    )


def _slur(taken: MeasuredTake, slur: SlurMeasure, second: int, *, pace: float) -> KeptSlur:
    first = _asked(taken, slur.first)
    study, notes = taken.study, taken.measure.passage.notes
    sound = study.line.sounds[taken.sounds[second]]
    return KeptSlur(
        asked=(first, second),
        label=label_at(taken.study, taken.sounds[first]),
        ways=(_way(taken, first), _way(taken, second)),
        technique=taken.technique_at(first).value,
        dynamic=sound.dynamic,
        tempo_qpm=study.part.notes[study.line.sounds[taken.sounds[first]].notes[-1]].tempo_qpm * pace,
        time_s=notes[second].onset_s - notes[first].onset_s,
        hold_s=notes[second].length_s,
        measure=slur,
    )


def on_kept_ways(study: Study, kept: KeptMeasures, *, first: int) -> Study:
    """Set a part on the fingerings that a take of it was measured with, however it is planned now.

    Args:
        study: of the part, written out as it is played.
        kept: what was measured before.
        first: index of the first asked sound of the line.
    """
    ways = list(study.plan.ways)
    for note in kept.notes:
        sound = first + note.asked
        played = (note.way.fingering, note.way.partial)
        known = (way for way in study.ways[sound] if (way.fingering, way.partial) == played)
        ways[sound] = next(known, ways[sound])
    return replace(study, plans=(replace(study.plan, ways=tuple(ways)), *study.plans[1:]))


def tried_before(kept: KeptMeasures) -> tuple[str, ...]:
    """Say which techniques a take was measured with, as a player says them: ``12:3=legato-tongue``.

    Args:
        kept: what was measured before.
    """
    said: dict[str, set[str]] = {}
    for slur in kept.slurs:
        said.setdefault(slur.label, set()).add(slur.technique)
    return tuple(
        f"{label}={technique}"
        for label, techniques in said.items()
        for technique in techniques
        if len(techniques) == 1 and technique != Technique.PLAIN
    )
