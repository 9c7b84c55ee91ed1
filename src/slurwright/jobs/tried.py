"""Attempts at a slur of a part, logged by ear: the player's words turned into what is kept.

The features of each come from the study: the ways as planned or pinned, dynamic, tempo, how long the change and the
second note last.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import repeat

from slurwright.errors import Fault, RequestError
from slurwright.evidence.attempts import Ear, Tried
from slurwright.evidence.kept import EarAttempt
from slurwright.horn import HornKind
from slurwright.jobs.passage import pace_of
from slurwright.jobs.places import sounds_at
from slurwright.jobs.words import beat_text, note_name
from slurwright.listen.kept import TakenPart, TakenWay
from slurwright.plan import Chances, SlurKind, Technique
from slurwright.plan.choices import slur_kind
from slurwright.plan.study import Study
from slurwright.score import unrolled
from slurwright.score.fingerprint import fingerprint

__all__ = [
    "MOST_AT_ONCE",
    "Logging",
    "day_faults",
    "departing_words",
    "ear_attempts",
    "heard_words",
    "label_at",
    "move_at",
    "part_tried",
    "tried_at",
]

MOST_AT_ONCE = 500
"""More attempts at one slur in one line are a slip of the finger; ours [1]."""
_LONG_AGO = timedelta(days=36525)
"""Nobody here played before that: a century digit was left out (ours)."""
_COUNTED = re.compile(r"([a-z]+)=([1-9]\d{0,5})", re.ASCII)


@dataclass(frozen=True, slots=True)
class Logging:
    """Whose attempts are logged, where and when."""

    player_id: str
    horn_id: str | None
    """The player's own horn; None for a model of the catalogue."""
    played_on: date
    file: str
    """Name of the notation file."""


def ear_attempts(
    study: Study,
    where: str,
    words: Sequence[str],
    *,
    logging: Logging,
    chances: Chances,
    technique: Technique | None = None,
    today: date,
) -> tuple[EarAttempt, ...]:
    """Read what became of a slur that was tried several times, one attempt after the other.

    Args:
        study: of the part, under the conditions in which it was played.
        where: the note that the slur leads from, as ``12:3`` or ``F3``.
        words: ``good``, ``rough``, ``missed``, each once for each attempt, or counted: ``good=7``.
        logging: whose, on which horn, when.
        chances: tell where a technique can be played.
        technique: how it was played; None as the plan has it.
        today: the day it is.

    Raises:
        RequestError: the place, a word, the technique or the day makes no sense; all faults at once.
    """
    faults: list[Fault] = []
    heard: tuple[Ear, ...] = ()
    tried: tuple[int, Tried] | None = None
    try:
        move = move_at(where, study)
        tried = move, tried_at(study, move, technique=technique, chances=chances)
    except RequestError as error:
        faults += error.faults
    try:
        heard = heard_words(words)
    except RequestError as error:
        faults += error.faults
    faults += day_faults(logging.played_on, today=today)
    if faults or tried is None:
        raise RequestError(faults=tuple(faults))
    part, label = part_tried(study, file=logging.file), label_at(study, study.line.moves[tried[0]].source)
    return tuple(
        EarAttempt(
            player_id=logging.player_id,
            horn_id=logging.horn_id,
            model=study.horn.id,
            part=part,
            label=label,
            tried=tried[1],
            heard=one,
            played_on=logging.played_on,
        )
        for one in heard
    )


def day_faults(day: date, *, today: date) -> tuple[Fault, ...]:
    """Say why nothing can have been played on a day; nothing if it can.

    Args:
        day: when it was played, as typed.
        today: the day it is.
    """
    allowed = f"until {today.isoformat()}, which is today"
    if day > today:
        return (Fault("this day is still to come", got=day.isoformat(), allowed=allowed),)
    if day < today - _LONG_AGO:
        return (Fault("this day is more than a century ago", got=day.isoformat(), allowed=allowed),)
    return ()


def heard_words(words: Iterable[str]) -> tuple[Ear, ...]:
    """Read ``good rough missed good=3`` into what the ear said of each attempt; gathers all faults.

    Raises:
        RequestError: a word is none of these, there is none, or there are far too many.
    """
    known = [ear.value for ear in Ear]
    found: list[Ear] = []
    faults: list[Fault] = []
    for word in words:
        counted = _COUNTED.fullmatch(word)
        name, number = (counted[1], int(counted[2])) if counted else (word, 1)
        if name not in known:
            allowed = f"{', '.join(known)}; or counted, such as {known[0]}=3"
            faults.append(Fault("not what an ear can say of a slur", got=repr(word), allowed=allowed))
            continue
        found += repeat(Ear(name), min(number, MOST_AT_ONCE + 1))
    if not found and not faults:
        faults.append(Fault("nothing is said of how it went", allowed=", ".join(known)))
    if len(found) > MOST_AT_ONCE:
        faults.append(Fault("too many attempts at one slur for one line", allowed=f"up to {MOST_AT_ONCE}"))
    if faults:
        raise RequestError(faults=tuple(faults))
    return tuple(found)


def move_at(where: str, study: Study) -> int:
    """Say which slur a place means, as an index into ``Line.moves``.

    A place that is played several times means the first time; a note's name must mean one slur alone.

    Args:
        where: ``12:3`` or a written pitch such as ``F3``, the note that the slur leads from.
        study: of the part.

    Raises:
        RequestError: no slur leads from there, or several different ones do.
    """
    sounds = set(sounds_at(where, study.part, study.line, study.reading))
    moves = [number for number, move in enumerate(study.line.moves) if move.slurred and move.source in sounds]
    if not moves:
        raise RequestError("no slur leads from there", got=where, allowed=_slurred_places(study))
    places = {label_at(study, study.line.moves[move].source): move for move in reversed(moves)}
    if len(places) > 1:
        named = [f"{place} (to {note_name(study, study.line.moves[places[place]].target)})" for place in places]
        raise RequestError("several slurs lead from there", got=where, allowed=_some(sorted(named, key=_in_bars)))
    return moves[0]


def tried_at(study: Study, move: int, *, technique: Technique | None = None, chances: Chances) -> Tried:
    """Say what is tried at a slur of a studied part: its ways, technique and circumstances.

    Args:
        study: of the part, under the conditions in which it is played.
        move: index into ``Line.moves``.
        technique: how it is played; None as the plan has it.
        chances: tell where a technique can be played.

    Raises:
        RequestError: the technique cannot be played there.
    """
    line, asked = study.line, study.line.moves[move]
    first, second = (study.plan.ways[sound] for sound in (asked.source, asked.target))
    kind = slur_kind(first, second, same_place_m=chances.slide.same_place_m)
    if technique is Technique.HALF_VALVE and (study.horn.kind is HornKind.SLIDE or kind is not SlurKind.LIP):
        allowed = f"{Technique.PLAIN} or {Technique.LEGATO_TONGUE}"
        raise RequestError("a half-valve helps a lip slur on valves only", got=f"{kind} slur", allowed=allowed)
    return Tried(
        ways=(_way(study, asked.source), _way(study, asked.target)),
        technique=technique or study.plan.techniques[move],
        dynamic=asked.dynamic,
        tempo_qpm=study.part.notes[line.sounds[asked.source].notes[-1]].tempo_qpm * pace_of(study),
        time_s=asked.time_s,
        hold_s=line.sounds[asked.target].duration_s,
    )


def part_tried(study: Study, *, file: str) -> TakenPart:
    """Say which part it is, so that takes and logged attempts of it are known as of the same.

    Args:
        study: of the part, written out or not.
        file: name of the notation file.
    """
    part = study.part
    return TakenPart(file, fingerprint(unrolled(part)), part.title, part.name)


def departing_words(study: Study, where: str) -> tuple[str, ...]:
    """Say that the plan leaves the normal fingerings at a slur, so that who played those can say so; else nothing.

    Args:
        study: of the part.
        where: the note that the slur leads from.
    """
    move = study.line.moves[move_at(where, study)]
    ends = (move.source, move.target)
    if all(study.plan.ways[sound].normal for sound in ends):
        return ()
    normal = [next((way for way in study.ways[sound] if way.normal), study.plan.ways[sound]) for sound in ends]
    planned = " to ".join(study.plan.ways[sound].fingering for sound in ends)
    taught = " to ".join(way.fingering for way in normal)
    pins = " ".join(
        f"--pin {label_at(study, sound)}={way.fingering}" for sound, way in zip(ends, normal, strict=True)
    )
    words = f"the plan plays this slur on {planned}, not on the normal {taught}; if you played that, say {pins}"
    return (words,)


def _way(study: Study, sound: int) -> TakenWay:
    played, way = study.line.sounds[sound], study.plan.ways[sound]
    return TakenWay(study.part.notes[played.notes[0]].written, played.sounding, way.fingering, way.partial)


def label_at(study: Study, sound: int) -> str:
    """Say where a sound stands in print, "12:3".

    Args:
        study: of the part.
        sound: index into ``Line.sounds``.
    """
    note = study.part.notes[study.line.sounds[sound].notes[0]]
    return f"{study.part.measure_of(note).number}:{beat_text(study.part.beat_of(note))}"


def _slurred_places(study: Study) -> str:
    labels = dict.fromkeys(label_at(study, move.source) for move in study.line.moves if move.slurred)
    return f"slurs lead from {_some(list(labels))}" if labels else "a part with slurs; this one has none"


def _in_bars(place: str) -> tuple[int, str]:
    number = re.match(r"\d+", place)
    return (int(number[0]) if number else 0, place)


_SHOWN = 12
"""So many places are named in a message, and no more."""


def _some(places: Sequence[str]) -> str:
    more = f" and {len(places) - _SHOWN} more" if len(places) > _SHOWN else ""
    return ", ".join(places[:_SHOWN]) + more
