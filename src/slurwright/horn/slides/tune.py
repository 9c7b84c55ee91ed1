"""How far to draw each tuning slide so that the notes of a part are best in tune, and what that changes."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from slurwright.errors import FingeringError, RequestError
from slurwright.horn.model import Horn, MovableSlide
from slurwright.horn.resonances import resonance_cents
from slurwright.horn.setting import Setting
from slurwright.horn.slides.moves import acts_on
from slurwright.horn.slides.solve import (
    Floats,
    Problem,
    errors,
    least_squares,
    least_worst,
    most_in_tune,
    squares,
    stepped,
)
from slurwright.horn.slides.values import Aim, NoteChange, Pull, SlideAnswer, SlideNote, Summary
from slurwright.pitch import SoundingPitch

__all__ = ["best_pulls", "cents_after", "slide_notes"]

TOLERANCE_CENTS = 10.0
"""Error up to which a note counts as in tune: about the least difference noticed in a short melody (published:
Hill & Summers, JASA 121 (2007) 2376) [cents]."""


def slide_notes(horn: Horn, wanted: Mapping[tuple[str, int, SoundingPitch], float]) -> tuple[SlideNote, ...]:
    """Say where notes sit on a horn as its slides are, and which slides act on each.

    Args:
        horn: nominal, or with tendencies that were learnt.
        wanted: (fingering, partial, note) and how much each matters, above zero [1].

    Raises:
        FingeringError: a fingering that the horn does not have.
        RequestError: a note with the hand slide drawn, which needs no other slide.

    """
    settings = {setting.fingering: setting for setting in horn.settings}
    for fingering, _, _ in wanted:
        if fingering not in settings:
            raise FingeringError(
                f"no such fingering on {horn.name}", got=repr(fingering), allowed=", ".join(settings)
            )
        if settings[fingering].slide_m > 0:
            raise RequestError(
                "the hand slide puts this note right by itself",
                got=f"{fingering} on {horn.name}",
                allowed="notes with the hand slide closed",
            )
    return tuple(
        _slide_note(horn, settings[fingering], partial, note, weight)
        for (fingering, partial, note), weight in wanted.items()
    )


def _slide_note(horn: Horn, setting: Setting, partial: int, note: SoundingPitch, weight: float) -> SlideNote:
    cents = resonance_cents(horn, setting.ratio, partial=partial, midi=note.midi)
    return SlideNote(
        fingering=setting.fingering,
        partial=partial,
        sounding=note,
        cents=cents + horn.tendencies.get((setting.fingering, partial), 0.0),
        length_m=setting.ratio * horn.open_length_m,
        slides=tuple(slide.name for slide in horn.slides if acts_on(slide.name, setting)),
        weight=weight,
    )


def _problem(slides: Sequence[MovableSlide], notes: Sequence[SlideNote]) -> Problem:
    weight = np.array([note.weight for note in notes], dtype=np.float64)
    slope = np.array(
        [[2.0 * slide.step_m / note.length_m * (slide.name in note.slides) for slide in slides] for note in notes],
        dtype=np.float64,
    ).reshape(len(notes), len(slides))
    return Problem(
        cents=np.array([note.cents for note in notes], dtype=np.float64),
        slope=slope,
        weight=weight / weight.sum(),
        low=np.array([-slide.in_m / slide.step_m for slide in slides]),
        high=np.array([slide.out_m / slide.step_m for slide in slides]),
    )


def cents_after(note: SlideNote, drawn_mm: Mapping[str, float]) -> float:
    """Where a note sits after slides were drawn, + sharp [cents].

    Args:
        note: as the slides were before.
        drawn_mm: slide name -> how far it was drawn, in below zero [mm].

    """
    added = sum(2e-3 * drawn for name, drawn in drawn_mm.items() if name in note.slides)
    return note.cents - float(1200.0 * np.log2(1.0 + added / note.length_m))


def _exact(problem: Problem, aim: Aim, tolerance: float) -> Floats:
    if aim is Aim.LEAST_SQUARES:
        return least_squares(problem)
    return least_worst(problem) if aim is Aim.LEAST_WORST else most_in_tune(problem, tolerance)


def _in_steps(problem: Problem, aim: Aim, tolerance: float) -> Floats:
    """Best whole steps, then as good in squares as single moves that cost the aim nothing can make it."""
    whole = replace(problem, low=np.ceil(problem.low - 1e-9), high=np.floor(problem.high + 1e-9))
    if aim is Aim.LEAST_SQUARES:
        return stepped(whole)
    found = least_worst(whole, whole=True) if aim is Aim.LEAST_WORST else most_in_tune(whole, tolerance, whole=True)
    return _polished(whole, found, aim, tolerance)


def _failing(problem: Problem, pulls: Floats, aim: Aim, tolerance: float) -> Floats:
    """What the aim wants to be small, shape=(...)."""
    off = np.abs(errors(problem, pulls))
    if aim is Aim.LEAST_WORST:
        return np.asarray(off.max(axis=-1))
    return np.asarray((off > tolerance + 1e-6) @ problem.weight)


def _polished(problem: Problem, start: Floats, aim: Aim, tolerance: float) -> Floats:
    """Move one or two slides by a step as long as squares fall and the aim does not suffer."""
    single = np.vstack([np.eye(len(start)), -np.eye(len(start))])
    moves = np.vstack([single, (single[:, None, :] + single[None, :, :]).reshape(-1, len(start))])
    best = start
    while True:
        tried = best + moves
        inside = np.all((tried >= problem.low) & (tried <= problem.high), axis=1)
        as_good = _failing(problem, tried, aim, tolerance) <= _failing(problem, best, aim, tolerance) + 1e-9
        value = np.where(inside & as_good, squares(problem, tried), np.inf)
        place = int(np.argmin(value))
        if value[place] >= float(squares(problem, best)) - 1e-9:
            return best
        best = tried[place]


def _summary(problem: Problem, pulls: Floats, tolerance: float) -> Summary:
    off = errors(problem, pulls)
    return Summary(
        rms_cents=float(np.sqrt(squares(problem, pulls))),
        worst_cents=float(np.max(np.abs(off))),
        within=float((np.abs(off) <= tolerance + 1e-6) @ problem.weight),
    )


def best_pulls(
    horn: Horn,
    notes: Sequence[SlideNote],
    *,
    aim: Aim = Aim.LEAST_SQUARES,
    tolerance_cents: float = TOLERANCE_CENTS,
    held: frozenset[str] = frozenset(),
) -> SlideAnswer:
    """Say how far to draw each slide from where it is, within its travel and in its steps.

    Args:
        horn: whose slides may be moved.
        notes: what `slide_notes` gave.
        aim: what "best" is to mean.
        tolerance_cents: error up to which a note counts as in tune [cents].
        held: names of slides that stay where they are.

    Raises:
        RequestError: no notes, a weight or tolerance not above zero, a slide that the horn lacks, or none left.

    """
    _check(horn, notes, tolerance_cents, held)
    slides = [slide for slide in horn.slides if slide.name not in held]
    problem = _problem(slides, notes)
    exact = _exact(problem, aim, tolerance_cents)
    pulls = _in_steps(problem, aim, tolerance_cents)
    step = np.array([1000.0 * slide.step_m for slide in slides])
    return SlideAnswer(
        aim=aim,
        pulls=tuple(
            Pull(slide.name, float(drawn), float(wish))
            for slide, drawn, wish in zip(slides, pulls * step + 0.0, exact * step + 0.0, strict=True)
        ),
        changes=tuple(
            NoteChange(note, note.cents, float(after))
            for note, after in zip(notes, errors(problem, pulls), strict=True)
        ),
        before=_summary(problem, np.zeros(len(slides)), tolerance_cents),
        after=_summary(problem, pulls, tolerance_cents),
    )


def _check(horn: Horn, notes: Sequence[SlideNote], tolerance: float, held: frozenset[str]) -> None:
    names = [slide.name for slide in horn.slides]
    if unknown := sorted(held - set(names)):
        raise RequestError(f"no such slide on {horn.name}", got=", ".join(unknown), allowed=", ".join(names))
    if not set(names) - held:
        raise RequestError("no slide may be moved", got=f"{len(held)} held", allowed="at least one that moves")
    if not notes or min(note.weight for note in notes) <= 0:
        raise RequestError("no notes to tune for", got=f"{len(notes)} notes", allowed="notes with weights above zero")
    if tolerance <= 0:
        raise RequestError("not a tolerance", got=f"{tolerance:g} cents", allowed="above zero")
