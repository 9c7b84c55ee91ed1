"""Invented players with known truth: what they practise, how they fare, and what a recording or an ear says of it.

A *book* is what lies on the stand: the slurs of a line on a horn of the catalogue, with the normal ways and now and
then an alternate. A *player* knows the true logit of a break of everything in the book, under any circumstances
and on any day. Nothing here knows how learning works; the worlds that players come from are in `players_worlds`.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from functools import cache
from typing import Protocol

import numpy as np

from builders.lines import random_line
from slurwright.devices.packaged import demo_part, load_chances, load_familiarity, load_horn
from slurwright.evidence.attempts import Attempt, Became, Source, Tried
from slurwright.formats.musicxml import open_musicxml
from slurwright.horn import Horn
from slurwright.listen.kept import TakenWay
from slurwright.pitch import SoundingPitch
from slurwright.plan import Chances, Technique, Way, ways_of
from slurwright.plan.speaking import break_risks, possible, tongued_as_usual
from slurwright.plan.transition import (
    Bools,
    Changes,
    Circumstances,
    Floats,
    Ints,
    WayTable,
    changes_between,
    table_of_ways,
)
from slurwright.score import Line, line_of

__all__ = [
    "CHANCES",
    "FIRST_DAY",
    "HORNS",
    "TECHNIQUES",
    "Book",
    "Habits",
    "Player",
    "Practice",
    "Slurs",
    "attempts_of",
    "book_of",
    "changes_of",
    "fresh_slurs",
    "logit",
    "play_through",
    "priors_of",
    "risk_of_logit",
    "tried_of",
]

CHANCES = load_chances()
HORNS = ("euphonium-4c", "trumpet-b", "trombone")
TECHNIQUES = tuple(Technique)
FIRST_DAY = date(2026, 1, 5)
WEAK_ABOVE = 0.05
"""Prior risk above which a player tries a technique as well [1]."""
_ALTERNATES = 0.25
_MOST_SLURS = 30
_SOFTER = 1.5
"""How much softer than the line is marked it is practised, so that there are slurs to worry about [steps]."""
_QUARTER_S = 0.6


@dataclass(frozen=True, slots=True)
class Book:
    """The slurs that a player practises, each between two rows of the table of ways."""

    horn_id: str
    horn: Horn
    table: WayTable
    pairs: tuple[tuple[TakenWay, TakenWay], ...]
    """One a slur."""
    source: Ints
    target: Ints
    dynamic: Floats
    """[steps from mf]"""
    time_s: Floats
    hold_s: Floats
    allowed: Bools
    """Whether a technique makes sense at a slur, shape=(slurs, techniques)."""
    pair_id: Ints
    """Slurs between the same two ways have the same number."""


@dataclass(frozen=True, slots=True)
class Slurs:
    """Slurs as they are played; all arrays have one entry a slur."""

    which: Ints
    """Place in the book."""
    technique: Ints
    """Place in `TECHNIQUES`."""
    dynamic: Floats
    """[steps from mf]"""
    slower: Floats
    """How much slower than asked the player takes it [1]."""
    week: Floats
    """Weeks since `FIRST_DAY`."""
    late: Floats
    """How much of the session is over, 0..1."""
    practised: Floats
    """How often the player has tried the same pair of ways before [1]."""


class Player(Protocol):
    """Somebody whose chances are known."""

    def __call__(self, slurs: Slurs) -> Floats:
        """Give the true logit of a break of each slur, shape=(slurs,) [logit]."""
        ...


@dataclass(frozen=True, slots=True)
class Habits:
    """How a player practises, and how they are judged."""

    session: int = 10
    """Attempts in one session."""
    days_apart: float = 3.5
    """Mean time between sessions [days]."""
    pause: tuple[float, float] | None = None
    """(week, weeks) of one long break."""
    by_ear: float = 0.15
    """Share of attempts judged by ear [1]."""
    ear_sure: float = 0.85
    """How often the ear is right, and knows it [1]."""
    sure: tuple[float, ...] = (0.99, 0.99, 0.98, 0.97, 0.9, 0.7)
    """How often measurements are right, and say so; one of these at random [1]."""
    slipped: float = 0.0
    """Share of measurements that are wrong beyond what they say [1]."""
    unsteady: float = 0.4
    """Spread of the dynamic as played about the one asked for [steps]."""


@dataclass(frozen=True, slots=True)
class Practice:
    """What a player did, session by session, with the truth."""

    slurs: Slurs
    day: Ints
    """Days since `FIRST_DAY`."""
    broke: Bools
    said_spoke: Floats
    """What `Attempt.spoke` says, 0..1."""
    by_ear: Bools
    next_day: int
    """Day of the session after the last one, in days since `FIRST_DAY`."""


def logit(chance: Floats) -> Floats:
    return np.log(chance) - np.log1p(-chance)


def risk_of_logit(value: Floats) -> Floats:
    return 1.0 / (1.0 + np.exp(-value))


@cache
def _horn(horn_id: str) -> Horn:
    return load_horn(horn_id)


@cache
def _ways(midi: int, horn_id: str) -> tuple[Way, ...]:
    return ways_of(SoundingPitch.from_midi(midi), _horn(horn_id), familiarity=load_familiarity())


@cache
def _demo_line() -> Line:
    name, data = demo_part()
    score = open_musicxml(data, where=name)
    return line_of(score.part(score.headings[0]))


@cache
def book_of(horn_id: str, *, seed: int) -> Book:
    """Lay a part on the stand: every third euphonium has the demo's tune, all others an invented line.

    Args:
        horn_id: a model of the catalogue.
        seed: the same one gives the same book.

    """
    horn = _horn(horn_id)
    rng = np.random.default_rng((seed, 11))
    demo = horn_id == "euphonium-4c" and seed % 3 == 0
    line = _demo_line() if demo else random_line(horn, 110, seed=seed)
    moves = [move for move in line.moves if move.slurred]
    leaps = np.array(
        [abs(_partial(line, move.target, horn_id) - _partial(line, move.source, horn_id)) for move in moves]
    )
    order = np.argsort(rng.random(len(moves)) ** (1.0 / (0.3 + leaps)))[::-1]
    chosen: list[tuple[int, Way, int, Way]] = []
    around: list[tuple[float, float, float]] = []
    for move in (moves[at] for at in sorted(order[:_MOST_SLURS].tolist())):
        here, there = line.sounds[move.source], line.sounds[move.target]
        one, two = (_ways(sound.sounding.midi, horn_id) for sound in (here, there))
        circumstances = (move.dynamic - _SOFTER, max(0.05, move.time_s), max(0.05, there.duration_s))
        chosen.append((here.sounding.midi, one[0], there.sounding.midi, two[0]))
        around.append(circumstances)
        if rng.random() < _ALTERNATES and len(two) > 1:
            chosen.append((here.sounding.midi, one[0], there.sounding.midi, two[1]))
            around.append(circumstances)
    return _bound(horn_id, chosen, around)


def _partial(line: Line, sound: int, horn_id: str) -> int:
    return _ways(line.sounds[sound].sounding.midi, horn_id)[0].partial


def _bound(
    horn_id: str, chosen: Sequence[tuple[int, Way, int, Way]], around: Sequence[tuple[float, float, float]]
) -> Book:
    """Put slurs into a book."""
    horn = _horn(horn_id)
    notes = [(midi, [way]) for here, one, there, two in chosen for midi, way in ((here, one), (there, two))]
    table = table_of_ways(notes, horn)
    source = np.arange(0, 2 * len(chosen), 2)
    dynamic, time_s, hold_s = np.array(around).T
    circumstances = Circumstances(dynamic, time_s, hold_s)
    changes = changes_between(
        table, source, source + 1, around=circumstances, same_place_m=CHANCES.slide.same_place_m
    )
    allowed = np.stack([possible(changes, technique, slide=table.slide) for technique in TECHNIQUES], axis=1)
    tongued = tongued_as_usual(changes, slide=table.slide)
    allowed[:, TECHNIQUES.index(Technique.PLAIN)] &= ~tongued
    names = [(one.fingering, one.partial, two.fingering, two.partial) for _, one, _, two in chosen]
    order = {name: number for number, name in enumerate(dict.fromkeys(names))}
    pairs = tuple((_taken(here, one, horn), _taken(there, two, horn)) for here, one, there, two in chosen)
    pair_id = np.array([order[name] for name in names], dtype=np.int64)
    return Book(horn_id, horn, table, pairs, source, source + 1, dynamic, time_s, hold_s, allowed, pair_id)


def _taken(midi: int, way: Way, horn: Horn) -> TakenWay:
    sounding = SoundingPitch.from_midi(midi)
    return TakenWay(horn.readings[0].transposition.to_written(sounding), sounding, way.fingering, way.partial)


def changes_of(book: Book, slurs: Slurs) -> Changes:
    """Give the features of slurs as the plan counts them."""
    which = slurs.which
    around = Circumstances(slurs.dynamic, slurs.slower * book.time_s[which], slurs.slower * book.hold_s[which])
    return changes_between(
        book.table,
        book.source[which],
        book.target[which],
        around=around,
        same_place_m=CHANCES.slide.same_place_m,
    )


def priors_of(book: Book, slurs: Slurs, *, chances: Chances = CHANCES) -> Floats:
    """Break risk of each slur by a table of chances, shape=(slurs,) [1]."""
    changes = changes_of(book, slurs)
    found = np.empty(len(slurs.which))
    for place, technique in enumerate(TECHNIQUES):
        mine = slurs.technique == place
        found[mine] = break_risks(changes, technique, chances=chances, slide=book.table.slide)[mine]
    return found


def _at_rest(book: Book, which: Ints, technique: Ints, *, week: float) -> Slurs:
    """Slurs as the part asks for them."""
    zeros = np.zeros(len(which))
    return Slurs(which, technique, book.dynamic[which], zeros + 1.0, zeros + week, zeros + 0.5, zeros)


def fresh_slurs(book: Book, rng: np.random.Generator, *, week: float, practised: Ints) -> Slurs:
    """The next time through the part: each slur as it stands, and the weak ones in their techniques as well.

    Args:
        book: what is on the stand.
        rng: draws where in the session each is played.
        week: when [weeks since the first day].
        practised: how often each pair was tried so far, shape=(pairs,) [1].

    """
    count = len(book.pairs)
    usual = np.where(book.allowed[:, 0], 0, TECHNIQUES.index(Technique.LEGATO_TONGUE))
    plain = priors_of(book, _at_rest(book, np.arange(count), usual, week=week))
    wanted = book.allowed & (plain > WEAK_ABOVE)[:, None]
    wanted[np.arange(count), usual] = True
    which, technique = np.nonzero(wanted)
    slurs = _at_rest(book, which, technique, week=week)
    return replace(slurs, late=rng.random(len(which)), practised=practised[book.pair_id[which]].astype(np.float64))


@dataclass
class _Diary:
    """What was done so far."""

    parts: list[Slurs] = field(default_factory=list)
    days: list[int] = field(default_factory=list)
    practised: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.int64))


def play_through(
    book: Book, player: Player, rng: np.random.Generator, *, attempts: int, habits: Habits | None = None
) -> Practice:
    """Practise: sessions over weeks, weak slurs more often, techniques mixed.

    Args:
        book: what is on the stand.
        player: who plays.
        rng: draws everything.
        attempts: how many in all [1].
        habits: how they practise; None for the usual ones.

    """
    habits = habits or Habits()
    practised = np.zeros(int(book.pair_id.max()) + 1, dtype=np.int64)
    diary = _Diary(practised=practised)
    day, paused = 0.0, False
    for start in range(0, attempts, habits.session):
        size = min(habits.session, attempts - start)
        slurs = _session(book, player, rng, diary, size=size, week=int(day) / 7.0, unsteady=habits.unsteady)
        diary.parts.append(slurs)
        diary.days += [int(day)] * size
        np.add.at(practised, book.pair_id[slurs.which], 1)
        day += max(1.0, habits.days_apart * rng.uniform(0.5, 1.5))
        if habits.pause and not paused and day / 7.0 >= habits.pause[0]:
            day, paused = day + 7.0 * habits.pause[1], True
    slurs = _joined(diary.parts) if diary.parts else _at_rest(book, *(np.zeros(0, dtype=np.int64),) * 2, week=0.0)
    broke = rng.random(attempts) < risk_of_logit(player(slurs))
    by_ear = rng.random(attempts) < habits.by_ear
    sure = np.where(by_ear, habits.ear_sure, rng.choice(habits.sure, attempts))
    right = rng.random(attempts) < sure
    slipped = ~by_ear & (rng.random(attempts) < habits.slipped)
    said_broke = broke ^ ~right ^ slipped
    said_spoke = np.where(said_broke, 1.0 - sure, sure)
    return Practice(slurs, np.array(diary.days, dtype=np.int64), broke, said_spoke, by_ear, int(day))


def _session(
    book: Book, player: Player, rng: np.random.Generator, diary: _Diary, *, size: int, week: float, unsteady: float
) -> Slurs:
    """Choose what is tried in one session; weak slurs come more often, each tried as it stands or in a technique."""
    count = len(book.pairs)
    share = book.allowed * np.array([0.7, 0.18, 0.12])
    share /= share.sum(axis=1, keepdims=True)
    usual = np.argmax(share, axis=1)
    risk = risk_of_logit(player(_at_rest(book, np.arange(count), usual, week=week)))
    weight = 0.1 + risk
    which = rng.choice(count, size=size, p=weight / weight.sum())
    technique = (rng.random((size, 1)) > np.cumsum(share[which], axis=1)).sum(axis=1)
    technique = np.minimum(technique, len(TECHNIQUES) - 1)
    return Slurs(
        which=which,
        technique=technique,
        dynamic=book.dynamic[which] + unsteady * rng.normal(size=size),
        slower=rng.choice([1.0, 1.0, 1.15, 1.4], size=size),
        week=np.full(size, week),
        late=np.arange(size) / max(1, size - 1),
        practised=diary.practised[book.pair_id[which]].astype(np.float64),
    )


def _joined(parts: Sequence[Slurs]) -> Slurs:
    return Slurs(
        *(
            np.concatenate([getattr(part, name) for part in parts])
            for name in ("which", "technique", "dynamic", "slower", "week", "late", "practised")
        )
    )


def tried_of(book: Book, slurs: Slurs) -> tuple[Tried, ...]:
    """Say each slur as it is kept."""
    time_s = (slurs.slower * book.time_s[slurs.which]).tolist()
    hold_s = (slurs.slower * book.hold_s[slurs.which]).tolist()
    return tuple(
        Tried(
            ways=book.pairs[which],
            technique=TECHNIQUES[technique],
            dynamic=dynamic,
            tempo_qpm=60.0 / (_QUARTER_S * slower),
            time_s=time,
            hold_s=hold,
        )
        for which, technique, dynamic, slower, time, hold in zip(
            slurs.which.tolist(),
            slurs.technique.tolist(),
            slurs.dynamic.tolist(),
            slurs.slower.tolist(),
            time_s,
            hold_s,
            strict=True,
        )
    )


def attempts_of(book: Book, practice: Practice) -> tuple[Attempt, ...]:
    """Say what was practised as attempts that are kept."""
    return tuple(
        Attempt(
            horn=book.horn_id,
            played_on=FIRST_DAY + timedelta(days=day),
            tried=tried,
            became=Became.SPOKE if spoke >= 0.5 else Became.BROKE,
            spoke=spoke,
            quality=None,
            source=Source.EAR if by_ear else Source.TAKE,
        )
        for tried, day, spoke, by_ear in zip(
            tried_of(book, practice.slurs),
            practice.day.tolist(),
            practice.said_spoke.tolist(),
            practice.by_ear.tolist(),
            strict=True,
        )
    )
