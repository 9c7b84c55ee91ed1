"""Some weeks of the demo's made-up player: sheets and takes, measured and learnt from, and the part planned anew."""

import tempfile
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from pathlib import Path

import numpy as np

from slurwright.devices.files import write_files
from slurwright.devices.packaged import load_beliefs, load_chances, load_practice
from slurwright.evidence.attempts import Attempt, Ear
from slurwright.evidence.from_takes import attempt_of_log, attempts_of_takes
from slurwright.evidence.kept import KeptSheet, LoggedAttempt
from slurwright.evidence.learning.learn import Learnt, learn, risk_on
from slurwright.formats.sound.wav import wav_bytes
from slurwright.horn import Horn
from slurwright.jobs.demo.player import ODILE, MadeUpPlayer, Pair, made_up_take, pair_of, true_risk, true_risks
from slurwright.jobs.demo.weeks import SlurThen, Visit, slurs_then, tries_of, visits
from slurwright.jobs.sheet.made import (
    OpenSheet,
    Owner,
    about_sheet,
    ear_attempts_of,
    made_plan,
    open_sheet,
    sheet_part,
)
from slurwright.jobs.study import StudyRequest
from slurwright.jobs.take.kept import kept_measures
from slurwright.jobs.take.measure import TakeRequest
from slurwright.listen.kept import PlayedSlur
from slurwright.plan import Technique
from slurwright.plan.study import LearntFrom, Study
from slurwright.practice.sheet.targets import SheetRequest
from slurwright.practice.sheet.values import KeptPlan, Sheet
from slurwright.wiring.part import StudiedFile, study_score
from slurwright.wiring.take import measure_file

__all__ = ["LivedWeeks", "live_weeks"]

_SEED = 1903
_MINUTES = 25.0
_PLAYER_ID = "odile"
_HEARD_ROUGH = 0.3
"""So many of the slurs that do not speak cleanly come all the same, and sound rough to her."""


@dataclass(frozen=True, slots=True, eq=False)
class LivedWeeks:
    """The weeks when they are over."""

    player: MadeUpPlayer
    takes: int
    attempts: tuple[Attempt, ...]
    measured: int
    """How many of these were measured; the others were logged by ear."""
    sheets: tuple[Sheet, ...]
    """One a week."""
    slurs: tuple[SlurThen, ...]
    before: StudiedFile
    """The part as planned on the priors."""
    after: StudiedFile
    """The part as planned on what was learnt."""


class _Weeks:
    """What happens in the weeks, day by day."""

    def __init__(self, data: bytes, name: str, horn: Horn, folder: Path) -> None:
        self._data, self._name, self.horn, self._folder = data, name, horn, folder
        self._rng = np.random.default_rng(_SEED)
        self.played: Counter[Pair] = Counter()
        self.attempts: list[Attempt] = []
        self.measured = 0
        self.normal = self.studied(StudyRequest(each_time=True, best=1, most_changes=0), None).study
        """The part on normal fingerings, on which it is practised."""

    def studied(self, request: StudyRequest, learnt: Learnt | None) -> StudiedFile:
        """Study the part with what is learnt so far."""
        known = None if learnt is None else learnt.on(self.horn.id)
        source = None if learnt is None else LearntFrom(learnt.attempts, learnt.latest)
        return study_score(self._data, self._name, self.horn, request, known=known, learnt_from=source)

    def learnt(self, today: date) -> Learnt:
        """Learn from everything up to now."""
        horns = {self.horn.id: self.horn}
        return learn(self.attempts, horns, chances=load_chances(), beliefs=load_beliefs(), today=today)

    def practise(self, day: date, concert: date) -> Sheet:
        """Make a sheet for the day, play its slurs, and log them by ear."""
        learnt = self.learnt(day)
        study = self.studied(StudyRequest(best=1, most_changes=0), learnt if learnt.attempts else None).study
        owner = Owner(_PLAYER_ID, None, self.horn.id, frozenset({self.horn.id}))
        sheet = self._sheet(study, SheetRequest(minutes=_MINUTES, today=day, concert=concert), owner)
        now = datetime.combine(day, time(18), tzinfo=UTC)
        for index in sheet.left:
            item = sheet.plan.sheet.items[index]
            if item.tried is None:
                continue
            (told,) = risk_on(learnt, self.horn, item.tried, days=[day])
            pair = str(item.tried.ways[0].sounding), str(item.tried.ways[1].sounding)
            risk = true_risk(ODILE, told.prior, tried=item.tried, played=self.played)
            words = [self._heard(risk) for _ in range(item.tries)]
            self.played[pair] += item.tries
            self.attempts += [
                attempt_of_log(LoggedAttempt(f"{day} {index}", heard, now), beliefs=load_beliefs())
                for heard in ear_attempts_of(sheet, index, words, today=day)
            ]
        return sheet.plan.sheet

    def _sheet(self, study: Study, request: SheetRequest, owner: Owner) -> OpenSheet:
        empty = Sheet(request.today, request.minutes, request.concert, (), (), 0, 1.0, 1.0)
        parts = (sheet_part(study, path=self._name),)
        plan = made_plan(
            [study],
            request,
            about=KeptPlan(empty, parts, self.horn.id, study.reading),
            attempts=self.attempts,
            horns=owner.horns,
            chances=load_chances(),
            table=load_practice(),
            rng=self._rng,
        )
        now = datetime.combine(request.today, time(17), tzinfo=UTC)
        return open_sheet(KeptSheet(f"sheet {request.today}", about_sheet(plan, owner), now, now), ())

    def _heard(self, risk: float) -> str:
        if self._rng.random() >= risk:
            return Ear.GOOD.value
        return Ear.ROUGH.value if self._rng.random() < _HEARD_ROUGH else Ear.MISSED.value

    def record(self, visit: Visit, number: int) -> None:
        """Play a take, measure it, and gather its attempts."""
        tried = tries_of(self.normal, visit.technique)
        risks = true_risks(ODILE, self.normal, chances=load_chances(), tried=tried, played=self.played)
        take = made_up_take(self.normal, risks, tried=tried, rng=self._rng)
        recording = self._folder / "take.wav"
        write_files({recording: wav_bytes(take.samples, take.rate_hz)})
        measured = measure_file(
            recording, self.normal, TakeRequest(tried=_said(self.normal, tried)), tick=lambda _share: None
        )
        self.played.update(pair_of(self.normal, move) for move in risks)
        slurs = [
            PlayedSlur(f"take {number}", self.horn.id, visit.day, slur)
            for slur in kept_measures(measured.taken).slurs
        ]
        self.attempts += attempts_of_takes(slurs, beliefs=load_beliefs())
        self.measured += len(slurs)


def live_weeks(
    data: bytes, name: str, horn: Horn, *, weeks: int, until: date, tick: Callable[[float], None]
) -> LivedWeeks:
    """Practise a part by a sheet each week, play three takes, measure them, learn from it all, and plan anew.

    Normal fingerings are practised throughout; techniques are tried at the weak slurs on two takes of three.

    Args:
        data: the part's file.
        name: what it is called.
        horn: the player's horn.
        weeks: how many, at least 1.
        until: last day of the last week; the concert is on it.
        tick: told now and then how much is done, 0..1.
    """
    plan = visits(weeks, until=until)
    sheets = []
    with tempfile.TemporaryDirectory(prefix="slurwright-") as folder:
        life = _Weeks(data, name, horn, Path(folder))
        for number, visit in enumerate(plan):
            if visit.technique is Technique.PLAIN:
                sheets.append(life.practise(visit.day, until))
            life.record(visit, number + 1)
            tick((number + 1) / len(plan))
    learnt = life.learnt(until)
    return LivedWeeks(
        player=ODILE,
        takes=len(plan),
        attempts=tuple(life.attempts),
        measured=life.measured,
        sheets=tuple(sheets),
        slurs=slurs_then(life.normal, learnt, ODILE, played=life.played, chances=load_chances()),
        before=life.studied(StudyRequest(), None),
        after=life.studied(StudyRequest(), learnt),
    )


def _said(study: Study, tried: dict[int, Technique]) -> tuple[str, ...]:
    """Say techniques as a player types them: ``12:3=legato-tongue``; a place played twice is said once."""
    part, line = study.part, study.line
    notes = {move: part.notes[line.sounds[line.moves[move].source].notes[-1]] for move in tried}
    return tuple(
        dict.fromkeys(
            f"{part.measure_of(note).number}:{part.beat_of(note)}={tried[move].value}" for move, note in notes.items()
        )
    )
