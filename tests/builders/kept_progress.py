"""A player's progress without a store: one horn, attempts that were logged, notes of takes."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

import numpy as np

from builders.practised import HORN, MONDAY, Practised, slur
from builders.tuned_takes import Tuner, takes_of
from slurwright.errors import StoreError
from slurwright.evidence.attempts import Ear, Tried
from slurwright.evidence.kept import EarAttempt, LoggedAttempt
from slurwright.horn.owned import OwnedHorn, Player
from slurwright.listen.kept import PlayedSlur, TakenNote
from slurwright.plan import Technique

__all__ = ["NOW", "TODAY", "KeptInMind", "autumn"]

NOW = datetime(2026, 11, 28, 12, 0, tzinfo=UTC)
TODAY = date(2026, 11, 28)


@dataclass(frozen=True)
class KeptInMind:
    """What a player keeps, in memory."""

    logged: tuple[LoggedAttempt, ...] = ()
    notes: tuple[TakenNote, ...] = ()
    owned: tuple[OwnedHorn, ...] = (OwnedHorn("h1", "p1", "old silver", HORN, None, "", NOW, NOW),)
    owners: tuple[Player, ...] = (Player("p1", "Mira", NOW, NOW),)

    def add_player(self, name: str, *, now: datetime) -> Player:
        raise NotImplementedError

    def add_horn(
        self, player_id: str, name: str, *, model: str, tuning: str | None = None, now: datetime
    ) -> OwnedHorn:
        raise NotImplementedError

    def players(self) -> tuple[Player, ...]:
        return self.owners

    def player_named(self, name: str) -> Player:
        for one in self.owners:
            if one.name == name:
                return one
        raise StoreError("no such player", got=name)

    def horns(self, player_id: str) -> tuple[OwnedHorn, ...]:
        return tuple(one for one in self.owned if one.player_id == player_id)

    def horn_named(self, player_id: str, name: str, *, deleted: bool = False) -> OwnedHorn:
        for one in self.horns(player_id):
            if one.name == name and not deleted:
                return one
        raise StoreError("no such horn", got=name, allowed=", ".join(one.name for one in self.horns(player_id)))

    def slurs_of(self, player_id: str) -> tuple[PlayedSlur, ...]:
        return ()

    def attempts_of(self, player_id: str) -> tuple[LoggedAttempt, ...]:
        return tuple(one for one in self.logged if one.about.player_id == player_id)

    def notes_of(self, player_id: str, *, horn_id: str | None = None) -> tuple[TakenNote, ...]:
        return tuple(one for one in self.notes if horn_id in {None, one.horn_id})


def logged(tried: Tried, days: Sequence[int], heard: Sequence[Ear], *, label: str = "") -> tuple[LoggedAttempt, ...]:
    return tuple(
        LoggedAttempt(
            f"a{tried.ways[0].sounding}{tried.ways[1].sounding}{tried.technique}{place}",
            EarAttempt("p1", "h1", HORN, None, label, tried, ear, MONDAY + timedelta(days=int(day))),
            NOW,
        )
        for place, (day, ear) in enumerate(zip(days, heard, strict=True))
    )


def heard(practised: Practised, rng: np.random.Generator, *, label: str = "") -> tuple[LoggedAttempt, ...]:
    draws = rng.random(len(practised.days))
    ears = [
        Ear.GOOD if draw < chance else (Ear.ROUGH if draw < chance + 0.5 * (1.0 - chance) else Ear.MISSED)
        for draw, chance in zip(draws, practised.speaks, strict=True)
    ]
    return logged(practised.tried, practised.days, ears, label=label)


def autumn(seed: int = 1001) -> KeptInMind:
    """Give an invented autumn: one slur learnt, one not, one that holds, alternates, few tries, notes of takes."""
    rng = np.random.default_rng(seed)
    found: list[LoggedAttempt] = []
    for names, start, end, times, label, options in (
        (("F3", "Bb3"), 0.35, 0.95, 90, "12:3", {}),
        (("F3", "Bb3"), 0.75, 0.9, 40, "12:3", {"technique": Technique.LEGATO_TONGUE}),
        (("F3", "Bb3"), 0.4, 0.5, 36, "12:3", {"fingerings": ("4", None)}),
        (("D4", "F4"), 0.55, 0.55, 48, "20:1", {}),
        (("Bb3", "D4"), 0.97, 0.97, 60, "3:1", {}),
        (("F4", "Bb3"), 0.9, 0.45, 70, "31:2", {}),
        (("F4", "Bb3"), 0.8, 0.85, 30, "31:2", {"technique": Technique.HALF_VALVE}),
        (("C4", "F4"), 0.6, 0.6, 3, "9:1", {}),
        (("Eb4", "G3"), 0.7, 0.8, 16, "41:4", {}),
    ):
        practised = np.sort(rng.integers(0, 7 * 12, times))
        speaks = np.asarray(start + (end - start) * practised / 84.0, dtype=np.float64)
        made = Practised(slur(*names, **options), practised.tolist(), speaks)
        found += heard(made, rng, label=label)
    days = tuple(range(0, 84, 6))
    places = rng.normal(0.0, 12.0, 8)[:, None] * np.ones(len(days))
    places[1] = np.linspace(24.0, 3.0, len(days))
    offsets = 5.0 * rng.standard_normal(len(days))
    offsets[9] = 17.0
    notes = takes_of(Tuner(days, places, offsets, missed=0.2), rng)
    return KeptInMind(tuple(found), notes)
