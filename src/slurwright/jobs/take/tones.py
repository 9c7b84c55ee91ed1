"""Steady notes of a take as tones of the player's horn, so that a recording teaches what a tuner would."""

from dataclasses import dataclass
from datetime import date

from slurwright.horn.learnt import ToneReading
from slurwright.horn.owned import PlayedTone, Source
from slurwright.jobs.take.measured import MeasuredTake
from slurwright.listen.figure import Figure
from slurwright.listen.followed import PlayedAs
from slurwright.listen.measures import NoteMeasure
from slurwright.pitch import A4_HZ, cents_of_ratio

__all__ = ["TakenTone", "steady_tones"]

_LEAST_S = 0.25
"""A note that is shorter says little of where the horn wants to be; ours [s]."""
_UNSURE_CENTS = 6.0
"""Half of the widest interval that is taken: about a player's own scatter from tone to tone; ours [cents]."""
_UNSTEADY_CENTS = 12.0
"""Largest standard deviation of the pitch inside a steady note; ours [cents]."""
_DRIFTING_CENTS = 25.0
"""Largest change of pitch from end to end of a steady note; ours [cents]."""
_OFF_CENTS = 80.0
"""A note further from its target was not placed by the horn; ours [cents]."""


@dataclass(frozen=True, slots=True)
class TakenTone:
    """A tone, and which asked note it was."""

    asked: int
    """Index into the passage."""
    tone: PlayedTone


def steady_tones(
    taken: MeasuredTake, *, played_on: date, session: str, temperature_c: float | None = None
) -> tuple[TakenTone, ...]:
    """Choose the notes of a take that say where the horn sounds, on the fingerings that were asked for.

    Args:
        taken: the take; its plan's fingerings are those that were used.
        played_on: the day.
        session: tells this sitting from others.
        temperature_c: of the air in the horn; None where it is not known [degC].

    Returns:
        One tone a steady note, in order of time; none if there are none.
    """
    study = taken.study
    offset_cents = cents_of_ratio(taken.a4_hz / A4_HZ)
    tones = []
    for note in taken.measure.notes:
        played = taken.measure.following.played[note.played]
        if played.played_as is not PlayedAs.ASKED or played.asked is None or not _is_steady(note):
            continue
        figure = note.cents
        if not isinstance(figure, Figure):
            continue
        sound = study.line.sounds[taken.sounds[played.asked]]
        way = study.plan.ways[sound.index]
        reading = ToneReading(
            sounding=sound.sounding,
            fingering=way.fingering,
            partial=way.partial,
            cents=round(figure.value + offset_cents, 2),
            session=session,
            dynamic=sound.dynamic,
            temperature_c=temperature_c,
            sd_cents=round(figure.sd, 2),
        )
        written = study.part.notes[sound.notes[0]].written
        tones.append(TakenTone(played.asked, PlayedTone(reading, played_on, Source.TAKE, written)))
    return tuple(tones)


def _is_steady(note: NoteMeasure) -> bool:
    """Say whether a note stood still long enough to be read like a tuner."""
    length_s = note.steady_s[1] - note.steady_s[0]
    cents, wander, drift = note.cents, note.wander_cents, note.drift_cents_s
    return (
        length_s >= _LEAST_S
        and isinstance(cents, Figure)
        and cents.high - cents.low <= 2.0 * _UNSURE_CENTS
        and abs(cents.value) <= _OFF_CENTS
        and not (isinstance(wander, Figure) and wander.value > _UNSTEADY_CENTS)
        and not (isinstance(drift, Figure) and abs(drift.value) * length_s > _DRIFTING_CENTS)
    )
