"""Takes as they are kept, for tests: an invented passage on a euphonium, measured with figures of every kind."""

import io
from dataclasses import replace
from datetime import date, timedelta

from builders.stores import NOW, played
from slurwright.listen.figure import Figure, Hidden, Veil
from slurwright.listen.followed import PlayedAs
from slurwright.listen.kept import (
    AskedFor,
    KeptMeasures,
    KeptNote,
    KeptSlur,
    KeptTake,
    TakeAbout,
    TakenPart,
    TakenWay,
)
from slurwright.listen.measures import Foreign, NoteMeasure, Reason, SlurMeasure, SlurOutcome, SlurPath, Vibrato
from slurwright.pitch import SoundingPitch, WrittenPitch
from slurwright.store import Store

SOUND = bytes(range(256)) * 40
"""Stands for a recording: the store does not look into it."""
F3 = TakenWay(WrittenPitch.named("G4"), SoundingPitch.named("F3"), "0", 3)
BB3 = TakenWay(WrittenPitch.named("C5"), SoundingPitch.named("Bb3"), "0", 4)
A3 = TakenWay(WrittenPitch.named("B4"), SoundingPitch.named("A3"), "2", 4)


def about(player_id: str, horn_id: str | None, *, keeps_sound: bool = True, note: str = "") -> TakeAbout:
    """What is known of a take before it is measured."""
    return TakeAbout(
        player_id,
        horn_id,
        "euphonium-4c",
        None,
        TakenPart("waltz.musicxml", "00ff" * 8, "Waltz of the Ferry", "Euphonium"),
        AskedFor(4, 6, "2-3", "treble-b", "p", 96.0, 442.0, 19.5),
        date(2026, 1, 9),
        note,
        keeps_sound,
    )


def figure(value: float, spread: float = 1.0) -> Figure:
    return Figure(value, value - spread, value + spread)


def note(asked: int, way: TakenWay, *, technique: str | None = "plain") -> KeptNote:
    """One note with a vibrato and a figure that the room hides."""
    measure = NoteMeasure(
        played=asked,
        cents=figure(-7.25),
        steady_s=(asked + 0.125, asked + 0.75),
        drift_cents_s=figure(0.1 + 0.2),
        wander_cents=figure(2.0, 0.5),
        scoop_cents=Hidden(Veil.ROOM),
        vibrato=Vibrato(figure(5.5, 0.1), figure(9.0)) if asked == 1 else None,
        level_db=-18.5,
        brightness=figure(3.25, 0.25),
    )
    return KeptNote(asked, f"2:{asked + 1}", way, technique, -2.0, PlayedAs.ASKED, float(asked), asked + 0.9, measure)


def slur(
    first: int, ways: tuple[TakenWay, TakenWay], *, technique: str = "plain", outcome: SlurOutcome = SlurOutcome.CLEAN
) -> KeptSlur:
    """One slur; one that broke went through another partial."""
    broke = outcome is SlurOutcome.BROKE
    measure = SlurMeasure(
        first=first,
        second=first + 1,
        time_ms=figure(41.5, 6.0),
        dip_db=figure(4.0),
        dip_ms=Hidden(Veil.ROOM),
        silence_ms=figure(0.0, 0.0),
        scoop_cents=Hidden(Veil.SHORT),
        overshoot_cents=figure(12.0, 5.0),
        path=SlurPath.PARTIAL if broke else SlurPath.DIRECT,
        foreign=Foreign(207.0, 5, figure(62.0, 8.0)) if broke else None,
        outcome=outcome,
        outcome_chance=0.97,
        quality=figure(0.25 if broke else 0.875, 0.05),
        reasons=(Reason.FOREIGN, Reason.FELL_BACK) if broke else (),
    )
    return KeptSlur(
        (first, first + 1), f"2:{first + 1}", ways, technique, -2.0, 96.0, 0.625, measure, None if broke else 1.25
    )


def measures(
    *, method: str = "1", document: str = '{"format": "take", "figures": [0.30000000000000004]}\n'
) -> KeptMeasures:
    """Three notes and the two slurs between them, one of which broke."""
    notes = (note(0, F3, technique=None), note(1, BB3), replace(note(2, A3), played_as=PlayedAs.WRONG))
    slurs = (slur(0, (F3, BB3), outcome=SlurOutcome.BROKE), slur(1, (BB3, A3), technique="half-valve"))
    return KeptMeasures(notes, slurs, 12.5, method, document, 1)


def receive(store: Store, what: TakeAbout, *, sound: bytes = SOUND, day: int = 5) -> KeptTake:
    """Put a take into a store that waits to be measured."""
    return store.receive_take(
        what, io.BytesIO(sound), called="Monday.WAV", ending="WAV", now=NOW + timedelta(days=day)
    )


def fill_with_takes(store: Store) -> tuple[KeptTake, ...]:
    """Takes in a store that `fill` has filled: measured with tones, without sound, waiting, failed, deleted."""
    ida, tom = store.player_named("Ida Moor"), store.player_named("Tómas Hill")
    old = store.horn_named(ida.id, "the old one")
    full = receive(store, about(ida.id, old.id, note="ß, the first try"))
    tones = [(1, played(-7.25)), (2, played(1.5, fingering="0"))]
    full = store.keep_measures(full.id, measures(), tones=tones, now=NOW + timedelta(days=5, seconds=9))
    bare = receive(store, about(ida.id, old.id, keeps_sound=False), day=6)
    bare = store.keep_measures(bare.id, measures(document=""), now=NOW + timedelta(days=6, seconds=9))
    waiting = receive(store, about(ida.id, None), day=7)
    failed = receive(store, about(tom.id, None), day=8)
    failed = store.fail_take(failed.id, "nothing of the passage is heard", now=NOW + timedelta(days=8, seconds=9))
    gone = receive(store, about(ida.id, old.id), day=9)
    store.keep_measures(gone.id, measures(method="2"), tones=tones[:1], now=NOW + timedelta(days=9, seconds=9))
    gone = store.delete_take(gone.id, now=NOW + timedelta(days=10))
    return full, bare, waiting, failed, gone
