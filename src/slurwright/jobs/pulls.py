"""How to set the slides of a horn for a player's notes, and what moves are left for them while playing."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from slurwright.errors import RequestError
from slurwright.horn import Horn, HornKind, Setting
from slurwright.horn.resonances import resonance_cents
from slurwright.horn.slides import Aim, Kick, NoteChange, SlideAnswer, SlideMove, SlideNote
from slurwright.horn.slides.moves import acts_on, hand_slide, kicks
from slurwright.pitch import SoundingPitch
from slurwright.plan.study import Study

__all__ = ["AIMS", "WITHIN_CENTS", "PulledNote", "PullsAnswer", "pulls_for"]

AIMS: Mapping[str, Aim] = {
    "least-squares": Aim.LEAST_SQUARES,
    "worst": Aim.LEAST_WORST,
    "within": Aim.MOST_IN_TUNE,
}
"""What the player calls each aim."""
WITHIN_CENTS = 10.0
"""How far out a note may be that counts as in tune, where nothing is said: about what is just noticed in a melody
(published: Hill & Summers, JASA 121 (2007) 2376) [cents]."""

_Wanted = tuple[str, int, SoundingPitch]


@dataclass(frozen=True, slots=True)
class PulledNote:
    """One note before and after, and what the player can still do about it while playing."""

    change: NoteChange
    kicks: tuple[Kick, ...] = ()
    """Kick slides that its air goes through, most helpful first; none where it is in tune."""
    move: SlideMove | None = None
    """Where the hand slide goes from the usual place of the position; None on valves."""


@dataclass(frozen=True, slots=True)
class PullsAnswer:
    """Where to set the slides of a horn."""

    horn: Horn
    within_cents: float
    slides: SlideAnswer
    notes: tuple[PulledNote, ...]
    """Highest first."""


def pulls_for(
    horn: Horn,
    studies: Sequence[Study],
    *,
    aim: str = "least-squares",
    within_cents: float = WITHIN_CENTS,
    held: frozenset[str] = frozenset(),
) -> PullsAnswer:
    """Say how far to draw each tuning slide from where it is, and what that does to every note.

    On a hand slide the tuning slides are set for the notes of the closed slide, which cannot go further in; every
    other note is put right by the hand.

    Args:
        horn: the horn as it is known.
        studies: parts that it is to be set for; none for the normal notes of its comfortable range.
        aim: one of `AIMS`.
        within_cents: how far out a note may be that counts as in tune [cents].
        held: names of slides that are to stay.

    Raises:
        RequestError: no such aim or slide, or nothing to tune for.
    """
    from slurwright.horn.slides.tune import best_pulls, cents_after, slide_notes  # noqa: PLC0415  scipy

    if aim not in AIMS:
        raise RequestError("not an aim", got=repr(aim), allowed=", ".join(AIMS))
    wanted = _wanted_by(studies) if studies else _usual(horn)
    tuned_by = _fixed(horn, wanted) or _fixed(horn, _usual(horn))
    answer = best_pulls(horn, slide_notes(horn, tuned_by), aim=AIMS[aim], tolerance_cents=within_cents, held=held)
    drawn = {pull.name: pull.drawn_mm for pull in answer.pulls}
    notes = [_note(horn, *key) for key in sorted(wanted, key=_height, reverse=True)]
    return PullsAnswer(
        horn,
        within_cents,
        answer,
        tuple(
            _pulled(horn, NoteChange(note, note.cents, cents_after(note, drawn)), drawn, within_cents)
            for note in notes
        ),
    )


def _height(wanted: _Wanted) -> tuple[int, int, str]:
    fingering, partial, sounding = wanted
    return sounding.midi, partial, fingering


def _setting(horn: Horn, fingering: str) -> Setting:
    return next(one for one in horn.settings if one.fingering == fingering)


def _fixed(horn: Horn, wanted: Mapping[_Wanted, float]) -> Mapping[_Wanted, float]:
    """Leave out the notes for which a hand slide is drawn."""
    return {key: weight for key, weight in wanted.items() if _setting(horn, key[0]).slide_m == 0.0}


def _note(horn: Horn, fingering: str, partial: int, sounding: SoundingPitch) -> SlideNote:
    """One note with the hand slide, if there is one, at the usual place of the position."""
    setting = _setting(horn, fingering)
    cents = resonance_cents(horn, setting.ratio, partial=partial, midi=sounding.midi)
    return SlideNote(
        fingering,
        partial,
        sounding,
        cents + horn.tendencies.get((fingering, partial), 0.0),
        setting.ratio * horn.open_length_m,
        tuple(slide.name for slide in horn.slides if acts_on(slide.name, setting)),
    )


def _usual(horn: Horn) -> Mapping[_Wanted, float]:
    """The normal ways of the comfortable range alike, pedals left out."""
    low, high = (pitch.midi for pitch in horn.comfortable)
    return {
        (*horn.normal[midi], SoundingPitch.from_midi(midi)): 1.0
        for midi in sorted(horn.normal)
        if low <= midi <= high and horn.normal[midi][1] > 1
    }


def _wanted_by(studies: Sequence[Study]) -> Mapping[_Wanted, float]:
    """The ways of some parts, each by the time for which it sounds; spelling apart it is the same note."""
    wanted: dict[_Wanted, float] = {}
    for study in studies:
        for sound, way in zip(study.line.sounds, study.plan.ways, strict=True):
            key = (way.fingering, way.partial, SoundingPitch.from_midi(sound.sounding.midi))
            wanted[key] = wanted.get(key, 0.0) + sound.duration_s * max(1, sound.times)
    return wanted


def _pulled(horn: Horn, change: NoteChange, drawn: Mapping[str, float], within_cents: float) -> PulledNote:
    if horn.kind is HornKind.SLIDE:
        setting = _setting(horn, change.note.fingering)
        return PulledNote(change, move=hand_slide(horn, setting, cents=change.after_cents))
    if abs(change.after_cents) <= within_cents:
        return PulledNote(change)
    moves = kicks(horn, change.note.fingering, cents=change.after_cents, set_mm=drawn)
    return PulledNote(change, kicks=tuple(move for move in moves if abs(move.drawn_mm) >= 1.0))
