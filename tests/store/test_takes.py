"""Takes: received, measured, failed, found, deleted, taken back, removed; figures come back to the last digit."""

import io
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from datetime import date, timedelta
from math import inf, nan
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from builders.any_take import measured
from builders.kept_takes import A3, BB3, F3, SOUND, about, fill_with_takes, measures, receive
from builders.stores import NOW, counted_ids, played
from slurwright.errors import DamagedStoreError, StoreError
from slurwright.horn.owned import OwnedHorn, Player
from slurwright.jobs.ports import Keeping, KeptPractice, KeptTakes
from slurwright.listen.kept import KeptMeasures, KeptTake, TakeAbout, TakeState
from slurwright.pitch import SoundingPitch
from slurwright.store import Store, open_store

LATER = NOW + timedelta(days=30)


@pytest.fixture
def ida(band: Store) -> Player:
    return band.player_named("Ida Moor")


@pytest.fixture
def horn(band: Store, ida: Player) -> OwnedHorn:
    return band.horn_named(ida.id, "the old one")


@pytest.fixture
def take(band: Store, ida: Player, horn: OwnedHorn) -> KeptTake:
    """One that waits to be measured."""
    return receive(band, about(ida.id, horn.id))


def test_a_take_is_received_and_waits(band: Store, take: KeptTake, ida: Player, horn: OwnedHorn) -> None:
    assert take.state is TakeState.RECEIVED
    assert take.about == about(ida.id, horn.id)
    assert take.made_at == take.changed_at == NOW + timedelta(days=5)
    assert band.takes_of(ida.id) == (take,)
    with pytest.raises(StoreError, match="this take is not measured; got received"):
        band.measures_of(take.id)


def test_its_recording_is_a_file_named_by_it(band: Store, take: KeptTake) -> None:
    path = band.sound_of(take.id)
    assert path == band.path.parent / "takes" / f"{take.id}.wav"
    assert path.read_bytes() == SOUND
    assert take.sound is not None
    assert (take.sound.size_bytes, take.sound.called) == (len(SOUND), "Monday.WAV")
    assert [entry.name for entry in path.parent.iterdir()] == [path.name]


@pytest.mark.parametrize(
    ("ending", "name"), [(".M4A", "m4a"), ("wav", "wav"), ("", "sound"), (".../x", "sound"), (".wave file", "sound")]
)
def test_whatever_the_file_was_called_its_name_is_ours(band: Store, ida: Player, ending: str, name: str) -> None:
    take = band.receive_take(about(ida.id, None), io.BytesIO(b"x"), called=f"../{ending}", ending=ending, now=NOW)
    path = band.sound_of(take.id)
    assert path is not None
    assert path.name == f"{take.id}.{name}"


def test_measures_come_back_as_they_were(band: Store, take: KeptTake, path: Path) -> None:
    kept = band.keep_measures(take.id, measures(), now=LATER)
    assert (kept.state, kept.method, kept.length_s, kept.changed_at) == (TakeState.MEASURED, "1", 12.5, LATER)
    assert band.measures_of(take.id) == measures()
    with open_store(path, now=LATER) as again:
        assert again.measures_of(take.id) == measures()
        assert again.take_of(take.id) == kept


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(measured())
def test_any_measures_come_back_as_they_were(band: Store, take: KeptTake, any_measures: KeptMeasures) -> None:
    band.keep_measures(take.id, any_measures, now=NOW)
    assert band.measures_of(take.id) == any_measures


def test_a_take_can_be_measured_again(band: Store, take: KeptTake, ida: Player) -> None:
    band.keep_measures(take.id, measures(), now=LATER)
    fewer = replace(measures(method="2"), slurs=measures().slurs[:1])
    again = band.keep_measures(take.id, fewer, now=LATER)
    assert again.method == "2"
    assert again.changed_at > LATER
    assert band.measures_of(take.id) == fewer
    assert len(band.slurs_of(ida.id)) == 1


def test_slurs_come_with_the_levels_of_their_notes(band: Store, take: KeptTake, ida: Player) -> None:
    whole = measures()
    first, second, third = whole.notes
    loud = replace(second, measure=replace(second.measure, level_db=-9.25))
    last = whole.slurs[1]
    # The second note of a slur that never came: the measure names the first one in its place.
    unspoken = replace(last, measure=replace(last.measure, second=last.measure.first))
    band.keep_measures(take.id, replace(whole, notes=(first, loud), slurs=(*whole.slurs, unspoken)), now=LATER)
    assert [slur.levels_db for slur in band.slurs_of(ida.id)] == [(-18.5, -9.25), None, None]
    band.keep_measures(take.id, replace(whole, notes=(third, first, loud)), now=LATER)
    assert [slur.levels_db for slur in band.slurs_of(ida.id)] == [(-18.5, -9.25), (-9.25, -18.5)]
    assert [played.slur.hold_s for played in band.slurs_of(ida.id)] == [None, 1.25]


def test_a_failed_take_says_why_and_can_be_tried_again(band: Store, take: KeptTake) -> None:
    failed = band.fail_take(take.id, "nothing of the passage is heard", now=LATER)
    assert (failed.state, failed.failure) == (TakeState.FAILED, "nothing of the passage is heard")
    assert band.sound_of(take.id) is not None
    assert band.fail_take(take.id, " \ud800" + "x" * 5000, now=LATER).failure == "?" + "x" * 1998
    assert band.fail_take(take.id, " ", now=LATER).failure == "it is not known why"
    mended = band.keep_measures(take.id, measures(), now=LATER)
    assert (mended.state, mended.failure) == (TakeState.MEASURED, "")
    with pytest.raises(StoreError, match="measured already; its figures stand"):
        band.fail_take(take.id, "no", now=LATER)


def test_the_recording_goes_only_when_the_figures_are_kept(band: Store, ida: Player, horn: OwnedHorn) -> None:
    take = receive(band, about(ida.id, horn.id, keeps_sound=False))
    place = band.sound_of(take.id)
    assert place is not None
    band.fail_take(take.id, "too soft", now=LATER)
    assert place.exists()
    kept = band.keep_measures(take.id, measures(), now=LATER)
    assert kept.sound is None
    assert band.sound_of(take.id) is None
    assert not place.exists()
    assert band.measures_of(take.id) == measures()


def test_a_recording_can_be_forgotten_later(band: Store, take: KeptTake) -> None:
    place = band.sound_of(take.id)
    assert place is not None
    with pytest.raises(StoreError, match="not measured yet, its recording is all there is"):
        band.forget_sound(take.id, now=LATER)
    band.keep_measures(take.id, measures(), now=LATER)
    forgotten = band.forget_sound(take.id, now=LATER)
    assert (forgotten.sound, forgotten.about.keeps_sound) == (None, False)
    assert not place.exists()
    with pytest.raises(StoreError, match="recording of this take is not kept"):
        band.forget_sound(take.id, now=LATER)


def test_a_take_is_found_by_the_beginning_of_its_number(store: Store) -> None:
    player = store.add_player("Ida", now=NOW)
    first, second = (receive(store, about(player.id, None), day=day) for day in (1, 2))
    assert store.take_of(first.id) == first
    with pytest.raises(StoreError, match=f"more than one take begins so; got 'id'; allowed: one of {first.id}, "):
        store.take_of("id")
    store.delete_take(second.id, now=LATER)
    assert store.take_of("id") == first
    assert store.take_of("id", deleted=True).id == second.id
    for beginning in ("", "x", "%", "id%"):
        with pytest.raises(StoreError, match="there is no take whose id begins so"):
            store.take_of(beginning)
    with pytest.raises(StoreError, match="there is no such take any more"):
        store.measures_of("x")


def test_one_number_may_be_the_beginning_of_another(path: Path) -> None:
    ids = iter(["p", "m1", "ab", "m2", "abc", "m3"])
    with open_store(path, now=NOW, new_id=lambda: next(ids)) as store:
        player = store.add_player("Ida", now=NOW)
        takes = [receive(store, about(player.id, None), day=day) for day in (1, 2)]
        assert [store.take_of(take.id) for take in takes] == takes


def test_takes_are_listed_by_horn_part_and_day(band: Store, ida: Player, horn: OwnedHorn) -> None:
    full, bare, waiting, failed, gone = fill_with_takes(band)
    assert band.takes_of(ida.id) == (full, bare, waiting)
    assert band.takes_of(ida.id, horn_id=horn.id) == (full, bare)
    assert band.takes_of(ida.id, deleted=True) == (gone,)
    assert band.takes_of(failed.about.player_id) == (failed,)
    assert band.takes_of(ida.id, fingerprint="other") == ()
    assert band.takes_of(ida.id, fingerprint=full.about.part.fingerprint) == (full, bare, waiting)
    day = date(2026, 1, 9)
    assert band.takes_of(ida.id, since=day, until=day) == (full, bare, waiting)
    assert band.takes_of(ida.id, since=day + timedelta(days=1)) == ()
    assert band.takes_of(ida.id, until=day - timedelta(days=1)) == ()


def test_slurs_are_found_over_many_takes(band: Store, ida: Player, horn: OwnedHorn) -> None:
    full, bare, *_ = fill_with_takes(band)
    slurs = band.slurs_of(ida.id)
    assert [(one.take_id, one.slur) for one in slurs] == [
        (take.id, slur) for take in (full, bare) for slur in measures().slurs
    ]
    assert {(one.horn_id, one.played_on) for one in slurs} == {(horn.id, date(2026, 1, 9))}
    first, second = measures().slurs
    respelled = (F3.sounding, SoundingPitch.named("A#3"))

    def found(**only: object) -> set[object]:
        return {one.slur for one in band.slurs_of(ida.id, **only)}  # type: ignore[arg-type]

    assert found(horn_id=horn.id) == {first, second}
    assert found(horn_id="other") == set()
    assert found(pair=respelled) == {first}
    assert found(pair=(BB3.sounding, A3.sounding)) == {second}
    assert found(partials=(4, 4)) == {second}
    assert found(technique="plain") == {first}
    assert found(since=date(2026, 1, 10)) == set()
    assert found(until=date(2026, 1, 9), technique="half-valve", pair=(BB3.sounding, A3.sounding)) == {second}


def test_notes_are_found_over_many_takes(band: Store, ida: Player, horn: OwnedHorn) -> None:
    full, bare, *_ = fill_with_takes(band)
    assert [(one.take_id, one.horn_id, one.played_on, one.note) for one in band.notes_of(ida.id)] == [
        (take.id, horn.id, date(2026, 1, 9), note) for take in (full, bare) for note in measures().notes
    ]
    assert {one.note for one in band.notes_of(ida.id, sounding=SoundingPitch.named("A#3"))} == {measures().notes[1]}
    assert band.notes_of(ida.id, horn_id="other") == ()
    assert band.notes_of(ida.id, since=date(2026, 1, 10)) == ()
    assert len(band.notes_of(ida.id, until=date(2026, 1, 9), horn_id=horn.id)) == 6


def test_the_store_is_what_the_jobs_ask_for(store: Store) -> None:
    def asked(takes: KeptTakes, everything: Keeping, practice: KeptPractice) -> bool:
        return all(isinstance(one, Store) for one in (takes, everything, practice))

    assert asked(store, store, store), "what the type checker finds is the test"


def test_slurs_of_what_is_deleted_are_hidden(band: Store, ida: Player, horn: OwnedHorn) -> None:
    full, bare, waiting, *_ = fill_with_takes(band)
    band.delete_take(full.id, now=LATER)
    assert {one.take_id for one in band.slurs_of(ida.id)} == {bare.id}
    band.delete_horn(horn.id, now=LATER)
    assert band.slurs_of(ida.id) == ()
    assert band.takes_of(ida.id) == (waiting,)
    band.undelete_horn(horn.id, now=LATER)
    assert len(band.slurs_of(ida.id)) == 2


def test_a_note_can_be_set(band: Store, take: KeptTake) -> None:
    noted = band.note_on_take(take.id, "after supper", now=LATER)
    assert noted.about == replace(take.about, note="after supper")
    with pytest.raises(StoreError, match="too long or garbled"):
        band.note_on_take(take.id, "x" * 5000, now=LATER)


def test_a_deleted_take_can_be_taken_back_or_removed(band: Store, take: KeptTake, ida: Player) -> None:
    band.keep_measures(take.id, measures(), now=LATER)
    with pytest.raises(StoreError, match="only what is deleted can be removed for good"):
        band.purge_take(take.id)
    with pytest.raises(StoreError, match="this take is not deleted"):
        band.undelete_take(take.id, now=LATER)
    band.delete_take(take.id, now=LATER)
    assert band.takes_of(ida.id) == ()
    for change in (
        lambda: band.delete_take(take.id, now=LATER),
        lambda: band.keep_measures(take.id, measures(), now=LATER),
        lambda: band.fail_take(take.id, "no", now=LATER),
        lambda: band.give_tones(take.id, [], now=LATER),
    ):
        with pytest.raises(StoreError, match="deleted"):
            change()
    back = band.undelete_take(take.id, now=LATER)
    assert band.takes_of(ida.id) == (back,)
    assert band.measures_of(take.id) == measures()
    band.delete_take(take.id, now=LATER)
    band.purge_take(take.id)
    assert band.takes_of(ida.id, deleted=True) == ()
    assert list((band.path.parent / "takes").iterdir()) == []
    with closing(sqlite3.connect(band.path)) as connection:
        for table in ("takes", "take_documents", "take_notes", "take_slurs", "take_tones", "sounds_to_remove"):
            assert connection.execute(f"SELECT count(*) FROM {table}").fetchone() == (0,), table


@pytest.mark.parametrize("whose", ["horn", "player"])
def test_what_is_removed_takes_its_takes_and_recordings_along(band: Store, ida: Player, whose: str) -> None:
    takes = fill_with_takes(band)
    horn = band.horn_named(ida.id, "the old one")
    if whose == "horn":
        band.delete_horn(horn.id, now=LATER)
        band.purge_horn(horn.id)
        left = {take.id for take in takes if take.about.horn_id is None}
    else:
        band.delete_player(ida.id, now=LATER)
        band.purge_player(ida.id)
        left = {take.id for take in takes if take.about.player_id != ida.id}
    assert {whole.take.id for whole in band.export_all().takes} == left
    assert {entry.stem for entry in (band.path.parent / "takes").iterdir()} == left
    assert band.sounds_astray().stray == ()


Spoilt = Callable[[TakeAbout], TakeAbout]


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lambda a: replace(a, player_id="x"), "no such player"),
        (lambda a: replace(a, horn_id="x"), "no such horn"),
        (lambda a: replace(a, model=" "), "a take needs a model"),
        (lambda a: replace(a, note="\ud800"), "too long or garbled"),
        (lambda a: replace(a, part=replace(a.part, fingerprint="")), "a take needs a fingerprint"),
        (lambda a: replace(a, part=replace(a.part, title="x" * 3000)), "too long or garbled"),
        (lambda a: replace(a, asked=replace(a.asked, last=3)), "no such notes; got 4 to 3"),
        (lambda a: replace(a, asked=replace(a.asked, tempo_qpm=0.0)), "must be above 0"),
        (lambda a: replace(a, asked=replace(a.asked, a4_hz=inf)), "not a number; got inf"),
        (lambda a: replace(a, asked=replace(a.asked, temperature_c=nan)), "not a number; got nan"),
    ],
)
def test_what_cannot_be_true_is_refused_and_leaves_nothing(
    band: Store, ida: Player, horn: OwnedHorn, spoil: Spoilt, words: str
) -> None:
    with pytest.raises(StoreError, match=words):
        receive(band, spoil(about(ida.id, horn.id)))
    assert band.export_all().takes == ()
    assert list((band.path.parent / "takes").iterdir()) == []


def test_a_take_belongs_to_the_owner_of_its_horn_and_neither_is_deleted(
    band: Store, ida: Player, horn: OwnedHorn
) -> None:
    tom = band.player_named("Tómas Hill")
    with pytest.raises(StoreError, match="belongs to another player; got the old one"):
        receive(band, about(tom.id, horn.id))
    band.delete_horn(horn.id, now=LATER)
    with pytest.raises(StoreError, match="this horn is deleted"):
        receive(band, about(ida.id, horn.id))
    band.delete_player(tom.id, now=LATER)
    with pytest.raises(StoreError, match="this player is deleted"):
        receive(band, about(tom.id, None))


def spoilt_measures(which: str) -> KeptMeasures:
    whole = measures()
    note, slur = whole.notes[0], whole.slurs[0]

    def noted(**fields: object) -> KeptMeasures:
        return replace(whole, notes=(replace(note, **fields),))  # type: ignore[arg-type]

    def heard(**fields: object) -> KeptMeasures:
        return noted(measure=replace(note.measure, **fields))  # type: ignore[arg-type]

    def slurred(**fields: object) -> KeptMeasures:
        return replace(whole, slurs=(slur, replace(slur, **fields)))  # type: ignore[arg-type]

    changes: dict[str, Callable[[], KeptMeasures]] = {
        "nan": lambda: heard(level_db=nan),
        "silence": lambda: heard(level_db=-inf),
        "array": lambda: heard(level_db=np.float32(3.0)),
        "upside down": lambda: heard(cents=replace(whole.notes[1].measure.vibrato.rate_hz, low=99.0)),  # type: ignore[union-attr]
        "way": lambda: noted(way=replace(F3, partial=0)),
        "place": lambda: noted(asked=-1),
        "time": lambda: noted(offset_s=-1.0),
        "label": lambda: noted(label="x" * 3000),
        "technique": lambda: slurred(technique=""),
        "tempo": lambda: slurred(tempo_qpm=0.0),
        "chance": lambda: slurred(measure=replace(slur.measure, outcome_chance=1.5)),
        "method": lambda: replace(whole, method=""),
        "schema": lambda: replace(whole, schema=0),
        "length": lambda: replace(whole, length_s=nan),
        "document": lambda: replace(whole, measures_json="\ud800"),
    }
    return changes[which]()


@pytest.mark.parametrize(
    ("which", "words"),
    [
        ("nan", r"take id\d+, note 0: not a number; got nan"),
        ("silence", "not a number; got -inf"),
        ("array", "not a plain value; got float32"),
        ("upside down", "an interval that is upside down"),
        ("way", "no such way; got '0', partial 0"),
        ("place", "no such place; got note -1"),
        ("time", "no such place"),
        ("label", "too long or garbled"),
        ("technique", r"take id\d+, slur 1: a slur needs a technique"),
        ("tempo", "no such place"),
        ("chance", "no chance; got 1.5"),
        ("method", "measures need the version"),
        ("schema", "no version of a document"),
        ("length", "no length"),
        ("document", "cannot be kept"),
    ],
)
def test_measures_that_cannot_be_true_are_refused_and_change_nothing(
    band: Store, take: KeptTake, which: str, words: str
) -> None:
    with pytest.raises(StoreError, match=words):
        band.keep_measures(take.id, spoilt_measures(which), now=LATER)
    assert band.take_of(take.id) == take
    assert band.sound_of(take.id) is not None


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE takes SET played_on = 'yesterday'",
        "UPDATE takes SET made_at = ''",
        "UPDATE take_documents SET document = x'00ff'",
        "UPDATE take_notes SET sounding = 'H3'",
        "UPDATE take_notes SET midi = 1",
        "UPDATE take_notes SET played_as = 'sung'",
        "UPDATE take_notes SET cents_hidden = 'fog', cents = NULL, cents_low = NULL, cents_high = NULL",
        "UPDATE take_slurs SET outcome = 'fell off'",
        "UPDATE take_slurs SET reasons = 'silence;boredom'",
        "UPDATE take_slurs SET foreign_ms_low = NULL",
        "DELETE FROM take_documents",
    ],
)
def test_a_row_that_makes_no_sense_is_damage(path: Path, sql: str) -> None:
    with open_store(path, now=NOW, new_id=counted_ids()) as store:
        player = store.add_player("Ida", now=NOW)
        kept = store.keep_measures(receive(store, about(player.id, None)).id, measures(), now=NOW)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(sql)
        connection.commit()
    with open_store(path, now=NOW) as store, pytest.raises(DamagedStoreError, match="the store is damaged"):
        store.measures_of(kept.id)


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE takes SET state = 'received', method = '', length_s = NULL, sound_name = NULL, sound_bytes = NULL,"
        " sound_sha256 = NULL, sound_called = NULL",
        "UPDATE takes SET sound_bytes = NULL",
        "UPDATE takes SET method = ''",
        "UPDATE takes SET state = 'lost'",
        "UPDATE takes SET horn_id = 'x'",
        "UPDATE take_notes SET cents = NULL",
        "UPDATE take_notes SET cents_low = NULL",
        "UPDATE take_notes SET cents_hidden = 'room'",
        "UPDATE take_slurs SET quality = NULL",
        "INSERT INTO take_tones VALUES ('x', 'y', 0)",
    ],
)
def test_the_tables_themselves_refuse_contradictions(band: Store, take: KeptTake, sql: str) -> None:
    band.keep_measures(take.id, measures(), now=LATER)
    with closing(sqlite3.connect(band.path)) as connection:
        connection.execute("PRAGMA foreign_keys = ON")
        with pytest.raises(sqlite3.IntegrityError):
            connection.execute(sql)


def test_tones_of_a_take_become_readings(band: Store, take: KeptTake, horn: OwnedHorn) -> None:
    band.keep_measures(take.id, measures(), tones=[(1, played(-7.25)), (2, played(1.5))], now=LATER)
    readings = [kept for kept in band.readings_of(horn.id) if kept.take is not None]
    assert [(kept.take.take_id, kept.take.asked, kept.played) for kept in readings if kept.take] == [
        (take.id, 1, played(-7.25)),
        (take.id, 2, played(1.5)),
    ]


def test_a_take_speaks_once(band: Store, take: KeptTake, horn: OwnedHorn) -> None:
    before = band.readings_of(horn.id)
    band.keep_measures(take.id, measures(), tones=[(1, played(-7.25))], now=LATER)
    band.keep_measures(take.id, measures(), tones=[(1, played(-8.0))], now=LATER)
    (stands,) = [kept for kept in band.readings_of(horn.id) if kept not in before]
    assert stands.played == played(-8.0)
    band.give_tones(take.id, [(2, played(3.0))], now=LATER)
    (stands,) = [kept for kept in band.readings_of(horn.id) if kept not in before]
    assert stands.played == played(3.0)


def test_tones_are_withdrawn_and_restored_with_their_take(band: Store, take: KeptTake, horn: OwnedHorn) -> None:
    band.keep_measures(take.id, measures(), tones=[(1, played(-9.0))], now=LATER)
    kept = band.keep_measures(take.id, measures(), tones=[(at, played(float(at))) for at in (0, 1, 2)], now=LATER)
    first, second, third = (one for one in band.readings_of(horn.id) if one.take is not None)
    band.withdraw([third.id], now=LATER)

    def standing() -> set[str]:
        return {one.id for one in band.readings_of(horn.id) if one.take is not None}

    for back in range(2):
        band.delete_take(take.id, now=LATER - timedelta(days=back))
        assert standing() == set()
        band.undelete_take(take.id, now=LATER)
        assert standing() == {first.id, second.id}
    band.delete_take(kept.id, now=LATER)
    band.restore([first.id], now=LATER + timedelta(days=1))
    band.withdraw([first.id], now=LATER + timedelta(days=2))
    band.undelete_take(kept.id, now=LATER + timedelta(days=3))
    assert standing() == {second.id}, "what the player did meanwhile holds"


def test_tones_of_a_take_that_is_removed_stay_withdrawn(band: Store, take: KeptTake, horn: OwnedHorn) -> None:
    band.keep_measures(take.id, measures(), tones=[(1, played(77.0))], now=LATER)
    band.delete_take(take.id, now=LATER)
    band.purge_take(take.id)
    (left,) = [kept for kept in band.readings_of(horn.id, withdrawn=True) if kept.played == played(77.0)]
    assert left.withdrawn
    assert left.take is None


def test_tones_need_a_horn_of_ones_own_and_are_all_kept_or_none(band: Store, ida: Player, take: KeptTake) -> None:
    homeless = receive(band, about(ida.id, None))
    with pytest.raises(StoreError, match="not on a horn of the player's own; got euphonium-4c"):
        band.keep_measures(homeless.id, measures(), tones=[(1, played())], now=LATER)
    assert band.take_of(homeless.id).state is TakeState.RECEIVED
    with pytest.raises(StoreError, match="reading 2: cents out of reach"):
        band.keep_measures(take.id, measures(), tones=[(1, played()), (2, played(5000.0))], now=LATER)
    assert band.take_of(take.id).state is TakeState.RECEIVED
    assert len(band.export_all().readings) == 5
