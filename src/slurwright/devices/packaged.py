"""Read the tables that come with the package: instruments, readings, how familiar ways are, priors, limits."""

from difflib import get_close_matches
from functools import cache
from importlib import resources

from slurwright.errors import HornError
from slurwright.evidence.learning.beliefs import Beliefs
from slurwright.evidence.progress.table import ProgressTable
from slurwright.evidence.trial.values import TrialRules
from slurwright.formats.chances_toml import parse_chances
from slurwright.formats.evidence_toml import parse_beliefs
from slurwright.formats.exercises_toml import parse_exercise_rules
from slurwright.formats.horn_toml import parse_horn, parse_readings
from slurwright.formats.learning_toml import priors_from_toml
from slurwright.formats.listening_toml import limits_from_toml
from slurwright.formats.practice_toml import practice_from_toml
from slurwright.formats.progress_toml import parse_progress
from slurwright.formats.trials_toml import parse_trial_rules
from slurwright.formats.ways_toml import parse_familiarity
from slurwright.horn import Horn
from slurwright.horn.learnt import Priors
from slurwright.listen.limits import Limits
from slurwright.pitch import Reading
from slurwright.plan.chances import Chances
from slurwright.plan.familiar import Familiarity
from slurwright.practice.exercise.rules import ExerciseRules
from slurwright.practice.sheet.table import PracticeTable

__all__ = [
    "demo_part",
    "horn_ids",
    "load_beliefs",
    "load_chances",
    "load_exercise_rules",
    "load_familiarity",
    "load_horn",
    "load_listening",
    "load_practice",
    "load_priors",
    "load_progress",
    "load_readings",
    "load_trial_rules",
]

_DATA = resources.files("slurwright") / "data"


def _text(*path: str) -> str:
    """Read one table of the package."""
    return _DATA.joinpath(*path).read_text(encoding="utf-8")


@cache
def horn_ids() -> tuple[str, ...]:
    """List the ids of all instruments of the catalogue, sorted."""
    names = (entry.name for entry in _DATA.joinpath("horns").iterdir())
    return tuple(sorted(name.removesuffix(".toml") for name in names if name.endswith(".toml")))


@cache
def _readings() -> dict[str, Reading]:
    return parse_readings(_text("readings.toml"))


def load_readings() -> dict[str, Reading]:
    """Give all readings by id.

    Raises:
        HornError: the packaged table is damaged.

    """
    return dict(_readings())


def load_horn(horn_id: str, *, tuning: str | None = None) -> Horn:
    """Give one instrument of the catalogue; only its own file is read.

    Args:
        horn_id: one of `horn_ids`.
        tuning: scheme of the valve slides; None takes the model's usual one.

    Raises:
        HornError: no such instrument or tuning, or its file is damaged.

    """
    ids = horn_ids()
    if horn_id not in ids:
        close = get_close_matches(horn_id.lower(), ids, n=3, cutoff=0.5)
        near = f"; nearest: {', '.join(close)}" if close else ""
        raise HornError("no such instrument", got=repr(horn_id) + near, allowed=", ".join(ids))
    return parse_horn(_text("horns", f"{horn_id}.toml"), _readings(), tuning=tuning)


def load_familiarity() -> Familiarity:
    """Give the packaged priors of how familiar and how well known ways are.

    Raises:
        HornError: the packaged table is damaged.

    """
    return parse_familiarity(_text("ways.toml"))


def load_priors() -> Priors:
    """Give the packaged priors for learning a horn.

    Raises:
        HornError: the packaged table is damaged.

    """
    return priors_from_toml(_text("learning.toml"))


@cache
def load_listening() -> Limits:
    """Give the packaged limits of what is heard as smooth, split, tongued.

    Raises:
        SoundError: the packaged table is damaged.

    """
    return limits_from_toml(_text("listening.toml"))


@cache
def load_practice() -> PracticeTable:
    """Give the packaged table of what practice is believed to do, and how a sheet is shaped.

    Raises:
        RequestError: the packaged table is damaged.

    """
    return practice_from_toml(_text("practice.toml"))


@cache
def load_progress() -> ProgressTable:
    """Give the packaged table of when something is said of a player's progress.

    Raises:
        RequestError: the packaged table is damaged.

    """
    return parse_progress(_text("progress.toml"))


@cache
def load_chances() -> Chances:
    """Give the packaged priors of notes, slurs and finger changes.

    Raises:
        RequestError: the packaged table is damaged.

    """
    return parse_chances(_text("chances.toml"))


@cache
def load_beliefs() -> Beliefs:
    """Give what is believed of players before anything is learnt of one.

    Raises:
        RequestError: the packaged table is damaged.

    """
    return parse_beliefs(_text("evidence.toml"))


@cache
def load_trial_rules() -> TrialRules:
    """Give the packaged rules by which trials are judged.

    Raises:
        RequestError: the packaged table is damaged.

    """
    return parse_trial_rules(_text("trials.toml"))


@cache
def load_exercise_rules() -> ExerciseRules:
    """Give the packaged figures by which exercises are made.

    Raises:
        RequestError: the packaged table is damaged.

    """
    return parse_exercise_rules(_text("exercises.toml"))


def demo_part() -> tuple[str, bytes]:
    """Give the demo part: its file name and its bytes."""
    tune = next(entry for entry in _DATA.joinpath("demo").iterdir() if entry.name.endswith(".musicxml"))
    return tune.name, tune.read_bytes()
