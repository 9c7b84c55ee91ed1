"""The job of exercises: for which slurs, how many, and the lip slurs of the day; what is said of them."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from numpy.random import Generator, default_rng

from slurwright.errors import Fault, PitchError, RequestError
from slurwright.horn import Horn
from slurwright.jobs.places import sounds_at
from slurwright.jobs.words import in_print
from slurwright.pitch import Reading, SoundingPitch, WrittenPitch
from slurwright.plan import Way
from slurwright.plan.study import Study
from slurwright.practice.exercise.aim import normal_way
from slurwright.practice.exercise.make import daily_lip_slurs, exercises_for
from slurwright.practice.exercise.rules import ExerciseRules
from slurwright.practice.exercise.values import Exercise

__all__ = [
    "ExerciseRequest",
    "ExerciseSheet",
    "daily_exercises",
    "pitch_from",
    "range_from",
    "slurs_asked",
    "study_exercises",
]

_EACH_OF_MANY = 2
"""How many exercises each weak slur gets where no slur is named: on its rungs, then on its two notes; ours [1]."""


@dataclass(frozen=True, slots=True)
class ExerciseRequest:
    """What the player asks, in their own words."""

    at: tuple[str, ...] = ()
    """Slurs, each by the note that it leads from: "12:3"; none for every weak one."""
    most: int | None = None
    """At most so many a slur; None for all at slurs that are named, for the first ones otherwise."""
    seed: int = 0
    """The same one gives the same exercises."""
    own_range: tuple[SoundingPitch, SoundingPitch] | None = None
    """The notes that the player owns; None for the horn's comfortable range."""


@dataclass(frozen=True, slots=True)
class ExerciseSheet:
    """Exercises that belong together."""

    title: str
    horn: Horn
    reading: Reading
    exercises: tuple[Exercise, ...]
    seed: int
    numbers: Mapping[int, int] = field(default_factory=dict)
    """Move of the studied line -> number of the weak slur, as on the pages of the part."""

    @property
    def play_s(self) -> float:
        """How long playing takes [s]."""
        return sum(exercise.play_s for exercise in self.exercises)

    @property
    def rest_s(self) -> float:
        """How long resting takes [s]."""
        return sum(exercise.rest_s for exercise in self.exercises)


def slurs_asked(study: Study, places: Sequence[str]) -> tuple[int, ...]:
    """Say which moves of the line are meant; every weak slur where no place is named, alike ones once.

    A slur that the plan has made safe by another fingering is among them: the normal one is to be practised first. So
    slurs between the same two notes are alike whatever the plan makes of each; one that is weak stands for all.

    Args:
        study: the studied part.
        places: notes that slurs lead from.

    Raises:
        RequestError: no slur leads from a note that is named; all faults at once.
    """
    if not places:
        told = sorted((one for one in study.reports if one.weak or one.choices), key=lambda one: not one.weak)
        return tuple(sorted(_different(study, [report.move for report in told], normal_way)))
    faults: list[Fault] = []
    found: list[int] = []
    for where in places:
        try:
            sounds = sounds_at(where, study.part, study.line, study.reading)
        except RequestError as error:
            faults.extend(error.faults)
            continue
        moves = [index for index, move in enumerate(study.line.moves) if move.slurred and move.source in sounds]
        if not moves:
            faults.append(Fault("no slur leads from this note", where=where))
        found += moves
    if faults:
        raise RequestError(faults=tuple(faults))
    return _different(study, found, _planned)


def _different(study: Study, moves: Sequence[int], way_at: Callable[[Study, int], Way]) -> tuple[int, ...]:
    """Leave out slurs whose notes and fingerings stood there before."""
    kept: dict[tuple[object, ...], int] = {}
    for index in moves:
        move = study.line.moves[index]
        ways = (way_at(study, sound) for sound in (move.source, move.target))
        midis = (study.line.sounds[sound].sounding.midi for sound in (move.source, move.target))
        key = (*midis, *((way.fingering, way.partial) for way in ways))
        kept.setdefault(key, index)
    return tuple(kept.values())


def _planned(study: Study, sound: int) -> Way:
    return study.plan.ways[sound]


def study_exercises(study: Study, request: ExerciseRequest, *, rules: ExerciseRules) -> tuple[Exercise, ...]:
    """Make the exercises for slurs of a part.

    Where no slur is named, what would come twice on the same rungs in the same direction comes once.

    Args:
        study: the studied part.
        request: what the player asks.
        rules: figures.

    Raises:
        RequestError: a place means no slur.
    """
    most = request.most
    if most is None and not request.at:
        most = _EACH_OF_MANY
    made: list[Exercise] = []
    told: set[tuple[object, ...]] = set()
    for move in slurs_asked(study, request.at):
        rng = _rng(request.seed, move)
        for one in exercises_for(study, move, rng=rng, most=most, range_=request.own_range, rules=rules):
            key = _on_its_rungs(one)
            if key is None or request.at or key not in told:
                made.append(one)
            if key is not None:
                told.add(key)
    return tuple(made)


def _on_its_rungs(exercise: Exercise) -> tuple[object, ...] | None:
    """What exercises on the rungs of two slurs have in common if one serves for both; None on the slur itself."""
    if exercise.slur is not None:
        return None
    steps = {
        (exercise.ways[slur.first].partial, exercise.ways[slur.first + 1].partial) for slur in exercise.part.slurs
    }
    return exercise.kind, frozenset(steps), frozenset(way.fingering for way in exercise.ways)


def daily_exercises(
    horn: Horn, reading: Reading, request: ExerciseRequest, *, minutes: float, rules: ExerciseRules
) -> tuple[Exercise, ...]:
    """Make the lip slurs of a day.

    Args:
        horn: the player's horn.
        reading: how they read.
        request: what they ask.
        minutes: for playing and resting together [min].
        rules: figures.
    """
    rng = _rng(request.seed, 0)
    return daily_lip_slurs(horn, reading, rng=rng, minutes=minutes, range_=request.own_range, rules=rules)


def _rng(seed: int, move: int) -> Generator:
    """A slur's own course of chance, so that its exercises do not depend on what else is asked for."""
    return default_rng([seed, move])


def pitch_from(name: str, reading: Reading) -> SoundingPitch:
    """Read a note as the player reads it into what it sounds like.

    Args:
        name: its ASCII name, "Bb2".
        reading: the player's.

    Raises:
        RequestError: no note is called so.
    """
    try:
        return reading.transposition.to_sounding(WrittenPitch.named(name))
    except PitchError as error:
        raise RequestError(faults=error.faults) from error


def range_from(words: str, horn: Horn, reading: Reading) -> tuple[SoundingPitch, SoundingPitch]:
    """Read a range such as ``F2..D4``, written as the player reads.

    Args:
        words: two notes with two dots between.
        horn: on which both must be playable.
        reading: the player's.

    Raises:
        RequestError: not two notes, the wrong way round, or fewer than an octave apart.
    """
    try:
        low, high = (reading.transposition.to_sounding(WrittenPitch.named(name)) for name in words.split(".."))
    except (PitchError, ValueError):
        raise RequestError("not a range", got=repr(words), allowed="two written notes such as F2..D4") from None
    if high.midi - low.midi < 12:
        raise RequestError(
            "too narrow a range for lip slurs", got=words, allowed="an octave or more, the lower first"
        )
    first, last = horn.possible
    if low.midi > last.midi or high.midi < first.midi:
        raise RequestError(f"no notes of {in_print(horn.name)}", got=words, allowed="notes that it plays")
    return low, high
