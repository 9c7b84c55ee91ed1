from collections.abc import Callable, Iterator
from contextlib import ExitStack, suppress
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from builders.kept_practice import ear, fill_with_practice, sheet, trial
from builders.kept_takes import SOUND, about, fill_with_takes, measures, receive
from builders.stores import NOW, counted_ids, fill, played
from slurwright.errors import StoreError
from slurwright.evidence.attempts import Ear
from slurwright.evidence.kept import SheetTick, TickState, TrialTake, WholeAttempt
from slurwright.formats.collection import Collection
from slurwright.formats.store_json import collection_from_json, collection_to_json
from slurwright.horn.owned import FromTake, Withdrawal
from slurwright.store import Imported, Store, open_store
from slurwright.store.sounds import Astray

LATER = NOW + timedelta(days=30)
NewStore = Callable[[], Store]


@pytest.fixture
def new_store(tmp_path: Path) -> Iterator[NewStore]:
    names = counted_ids("store")
    with ExitStack() as stack:

        def make() -> Store:
            name = names()
            path = tmp_path / name / "slurwright.sqlite3"
            return stack.enter_context(open_store(path, now=NOW, new_id=counted_ids(f"{name}-")))

        yield make


def through_text(collection: Collection) -> Collection:
    return collection_from_json(collection_to_json(collection))


def test_everything_goes_round(band: Store, new_store: NewStore) -> None:
    out = band.export_all()
    other = new_store()
    assert other.import_all(through_text(out)) == Imported(2, 3, 5, 0)
    assert other.export_all() == out
    assert collection_to_json(other.export_all()) == collection_to_json(out)
    ida = other.player_named("Ida Moor")
    old = other.horn_named(ida.id, "the old one")
    assert other.readings_of(old.id) == band.readings_of(old.id)


def sounds_of(store: Store) -> Path:
    return store.path.parent / "takes"


def test_takes_go_round_with_their_recordings(band: Store, new_store: NewStore) -> None:
    full, bare, waiting, failed, gone = fill_with_takes(band)
    out = band.export_all()
    other = new_store()
    assert other.import_all(through_text(out), sounds=sounds_of(band)) == Imported(2, 3, 8, 0, 5, 4)
    assert other.export_all() == out
    assert other.sounds_astray() == Astray()
    for take in (full, waiting, failed, gone):
        place = other.sound_of(take.id)
        assert place is not None
        assert place.read_bytes() == SOUND
    assert other.measures_of(bare.id) == measures(document="")
    assert other.import_all(through_text(out), sounds=sounds_of(band)) == Imported(0, 0, 0, 0)


def test_takes_go_round_without_their_recordings(band: Store, new_store: NewStore, tmp_path: Path) -> None:
    takes = fill_with_takes(band)
    out = band.export_all()
    other = new_store()
    assert other.import_all(out) == Imported(2, 3, 8, 0, 5, 0)
    assert other.export_all() == out
    kept = tuple(sorted(take.id for take in takes if take.sound is not None))
    assert other.sounds_astray() == Astray(absent=kept)
    assert other.import_all(out, sounds=tmp_path / "nowhere") == Imported(0, 0, 0, 0)
    assert other.import_all(out, sounds=sounds_of(band)).sounds_added == 4
    assert other.sounds_astray() == Astray()


def test_a_recording_that_is_another_one_is_refused(band: Store, new_store: NewStore, tmp_path: Path) -> None:
    full, *_ = fill_with_takes(band)
    beside = tmp_path / "beside"
    beside.mkdir()
    (beside / f"{full.id}.wav").write_bytes(SOUND[::-1])
    other = new_store()
    with pytest.raises(StoreError, match="not the recording of its take: its bytes are others"):
        other.import_all(band.export_all(), sounds=beside)
    assert other.export_all() == Collection()
    assert list(sounds_of(other).iterdir()) == []


def test_a_later_measuring_is_taken_over_and_an_earlier_is_not(band: Store, new_store: NewStore) -> None:
    full, bare, *_ = fill_with_takes(band)
    other = new_store()
    other.import_all(band.export_all(), sounds=sounds_of(band))
    other.keep_measures(full.id, measures(method="2"), tones=[(0, played(12.0))], now=LATER)
    other.note_on_take(bare.id, "never mind", now=LATER)
    band.keep_measures(bare.id, measures(method="3"), now=LATER + timedelta(days=1))
    here, there = band.export_all(), other.export_all()
    assert band.import_all(through_text(there)) == Imported(0, 0, 1, 3)
    assert other.import_all(through_text(here)) == Imported(0, 0, 0, 1)
    assert band.export_all() == other.export_all()
    assert band.measures_of(full.id).method == "2"
    assert band.measures_of(bare.id).method == "3"


def standing_of(store: Store, take_id: str) -> list[float]:
    return [
        kept.played.tone.cents
        for kept in store.export_all().readings
        if kept.take is not None and kept.take.take_id == take_id and not kept.withdrawn
    ]


def test_a_take_that_was_measured_again_in_both_speaks_once(band: Store, new_store: NewStore) -> None:
    full, *_ = fill_with_takes(band)
    other = new_store()
    other.import_all(band.export_all())
    band.keep_measures(full.id, measures(), tones=[(0, played(1.0)), (1, played(2.0))], now=LATER)
    other.keep_measures(full.id, measures(), tones=[(0, played(3.0))], now=LATER + timedelta(days=1))
    here, there = band.export_all(), other.export_all()
    band.import_all(there)
    other.import_all(here)
    assert standing_of(band, full.id) == standing_of(other, full.id) == [3.0]
    assert band.export_all() == other.export_all()
    (first,) = [kept.id for kept in band.export_all().readings if kept.played == played(1.0)]
    band.restore([first], now=LATER + timedelta(days=2))
    other.import_all(band.export_all())
    assert standing_of(other, full.id) == [1.0, 3.0], "what the player restored stays"
    assert band.import_all(other.export_all()) == Imported(0, 0, 0, 0)


def test_a_recording_that_was_forgotten_elsewhere_is_removed_here(band: Store, new_store: NewStore) -> None:
    full, *_ = fill_with_takes(band)
    other = new_store()
    other.import_all(band.export_all(), sounds=sounds_of(band))
    other.forget_sound(full.id, now=LATER)
    band.import_all(other.export_all())
    assert band.sound_of(full.id) is None
    assert band.sounds_astray() == Astray()
    assert f"{full.id}.wav" not in {entry.name for entry in sounds_of(band).iterdir()}


def test_what_was_removed_for_good_comes_back_where_another_has_it(band: Store, new_store: NewStore) -> None:
    full, *_ = fill_with_takes(band)
    other = new_store()
    other.import_all(band.export_all(), sounds=sounds_of(band))
    band.delete_take(full.id, now=LATER)
    band.purge_take(full.id)
    back = band.import_all(other.export_all(), sounds=sounds_of(other))
    assert (back.takes_added, back.sounds_added) == (1, 1)
    assert band.measures_of(full.id) == measures()
    assert band.sound_of(full.id) is not None
    sourced = [kept.take.take_id for kept in band.export_all().readings if kept.take is not None]
    assert sourced.count(full.id) == 2
    other.import_all(band.export_all())
    assert band.export_all() == other.export_all()


def test_practice_goes_round(band: Store, new_store: NewStore) -> None:
    fill_with_takes(band)
    fill_with_practice(band)
    out = band.export_all()
    other = new_store()
    done = other.import_all(through_text(out))
    assert (done.trials_added, done.sheets_added, done.attempts_added, done.changed) == (3, 2, 4, 0)
    assert other.export_all() == out
    assert other.import_all(through_text(out)) == Imported(0, 0, 0, 0)
    ida = band.player_named("Ida Moor")
    assert other.attempts_of(ida.id, withdrawn=True) == band.attempts_of(ida.id, withdrawn=True)
    assert [other.trial_takes(one.id) for one in other.trials_of(ida.id)] == [
        band.trial_takes(one.id) for one in band.trials_of(ida.id)
    ]


def test_practice_on_two_machines_is_put_together(band: Store, new_store: NewStore) -> None:
    fill_with_takes(band)
    fill_with_practice(band)
    other = new_store()
    other.import_all(band.export_all())
    ida = band.player_named("Ida Moor")
    going, over = band.trials_of(ida.id)
    (today,) = band.sheets_of(ida.id)
    horn = going.about.horn_id
    hour = timedelta(hours=1)
    band.log_attempts([ear(ida.id, horn, Ear.GOOD, trial_id=going.id, arm="1")], now=LATER)
    other.log_attempts([ear(ida.id, horn, Ear.ROUGH, trial_id=going.id, arm="2")], now=LATER + hour)
    band.tick_sheet(today.id, [(0, TickState.SKIPPED), (2, TickState.DONE)], now=LATER)
    other.tick_sheet(today.id, [(0, TickState.DONE), (3, TickState.SKIPPED)], now=LATER + hour)
    band.end_trial(going.id, now=LATER)
    other.reopen_trial(over.id, now=LATER)
    band.delete_trial(over.id, now=LATER + hour)
    takes = [receive(store, about(ida.id, horn), day=day) for store, day in ((band, 20), (other, 21))]
    other.add_trial_take(going.id, takes[1].id, block=3, now=LATER)
    withdrawn = [one for one in band.attempts_of(ida.id, withdrawn=True) if one.withdrawn_at is not None]
    other.restore_attempts([withdrawn[0].id], now=LATER)
    here, there = band.export_all(), other.export_all()
    # A take, an attempt; ticks, a block and a restored attempt of what was known; the other's trial is older.
    assert band.import_all(through_text(there), sounds=sounds_of(other)).changed == 3
    assert other.import_all(through_text(here), sounds=sounds_of(band)).changed == 3
    assert band.export_all() == other.export_all()
    assert [one.about.heard for one in band.attempts_of(ida.id)[-2:]] == [Ear.GOOD, Ear.ROUGH]
    assert {tick.item: tick.state for tick in other.ticks_of(today.id)} == {
        0: TickState.DONE,
        1: TickState.DONE,
        2: TickState.DONE,
        3: TickState.SKIPPED,
    }
    assert other.trial_of(going.id).ended_at == LATER
    assert other.trial_of(over.id, deleted=True).deleted_at == LATER + hour
    assert [take.block for take in band.trial_takes(going.id)] == [0, 1, 3]
    assert withdrawn[0].id in {one.id for one in band.attempts_of(ida.id)}


def altered_practice(out: Collection, which: str) -> Collection:
    trial, sheet, attempt = out.trials[0], out.sheets[0], out.attempts[0]
    of_sheet = next(whole for whole in out.attempts if whole.attempt.about.sheet_id is not None)
    withdrawn = next(whole for whole in out.attempts if whole.withdrawals)

    def trials(**fields: object) -> Collection:
        changed = replace(trial, trial=replace(trial.trial, **fields))  # type: ignore[arg-type]
        return replace(out, trials=(changed, *out.trials[1:]))

    def blocks(*takes: TrialTake) -> Collection:
        return replace(out, trials=(replace(trial, takes=takes), *out.trials[1:]))

    def told(kept: WholeAttempt, **fields: object) -> Collection:
        changed = replace(kept.attempt, about=replace(kept.attempt.about, **fields))  # type: ignore[arg-type]
        return instead(kept, replace(kept, attempt=changed))

    def instead(kept: WholeAttempt, changed: WholeAttempt) -> Collection:
        return replace(out, attempts=tuple(changed if one is kept else one for one in out.attempts))

    def ticked(*ticks: SheetTick) -> Collection:
        return replace(out, sheets=(replace(sheet, ticks=ticks), *out.sheets[1:]))

    take, tick = trial.takes[0], sheet.ticks[0]
    hornless = next(whole.take.id for whole in out.takes if whole.take.about.horn_id is None)
    opposite = TickState.DONE if tick.state is TickState.SKIPPED else TickState.SKIPPED
    changes: dict[str, Callable[[], Collection]] = {
        "another design": lambda: trials(about=replace(trial.trial.about, document_json="{}"), changed_at=LATER),
        "same moment": lambda: trials(ended_at=LATER),
        "no design": lambda: trials(about=replace(trial.trial.about, document_json="")),
        "backwards": lambda: trials(changed_at=NOW),
        "twice": lambda: replace(out, trials=(trial, *out.trials)),
        "nobody's": lambda: trials(about=replace(trial.trial.about, player_id="x")),
        "other block": lambda: blocks(replace(take, block=9), *trial.takes[1:]),
        "lost take": lambda: blocks(replace(take, take_id="x")),
        "foreign take": lambda: blocks(replace(take, take_id=hornless)),
        "two blocks": lambda: blocks(take, replace(take, block=7)),
        "no such block": lambda: blocks(replace(take, block=-1)),
        "another word": lambda: ticked(replace(tick, state=opposite), *sheet.ticks[1:]),
        "two words": lambda: ticked(tick, replace(tick, state=opposite)),
        "no such item": lambda: ticked(replace(tick, item=-1)),
        "another attempt": lambda: told(attempt, heard=Ear.ROUGH),
        "impossible": lambda: told(attempt, label="\ud800"),
        "lost trial": lambda: told(attempt, trial_id="x"),
        "lost sheet": lambda: told(of_sheet, sheet_id="x"),
        "another history": lambda: instead(
            withdrawn, replace(withdrawn, withdrawals=(Withdrawal(withdrawn.withdrawals[0].at, withdrawn=False),))
        ),
        "disorder": lambda: instead(withdrawn, replace(withdrawn, withdrawals=withdrawn.withdrawals * 2)),
    }
    return changes[which]()


@pytest.mark.parametrize(
    ("which", "words"),
    [
        ("another design", r"trial id\d+: this trial is another one here"),
        ("same moment", "this trial stands differently here since the same moment"),
        ("no design", "its document says nothing"),
        ("backwards", "changed before it was made"),
        ("twice", "one trial stands there 2 times"),
        ("nobody's", "a trial of nobody"),
        ("other block", "this take holds another block here"),
        ("lost take", "no take of the trial's player and horn"),
        ("foreign take", "no take of the trial's player and horn"),
        ("two blocks", "one take holds 2 blocks"),
        ("no such block", "no such block"),
        ("another word", "this sheet has another history here"),
        ("two words", "two words on one item at the same moment"),
        ("no such item", "no such item"),
        ("another attempt", "this attempt is another one here"),
        ("impossible", "too long or garbled"),
        ("lost trial", "no trial of its player and horn"),
        ("lost sheet", "no sheet of its player and horn"),
        ("another history", "this attempt has another history here"),
        ("disorder", "its history is out of order"),
    ],
)
def test_practice_that_contradicts_is_refused_and_changes_nothing(band: Store, which: str, words: str) -> None:
    fill_with_takes(band)
    fill_with_practice(band)
    out = band.export_all()
    with pytest.raises(StoreError, match=words):
        band.import_all(altered_practice(out, which))
    assert band.export_all() == out


def test_importing_again_changes_nothing(band: Store) -> None:
    out = band.export_all()
    assert band.import_all(through_text(out)) == Imported(0, 0, 0, 0)
    assert band.export_all() == out


def test_two_stores_that_import_each_other_hold_the_same(band: Store, new_store: NewStore) -> None:
    other = new_store()
    other.import_all(band.export_all())
    ida = band.player_named("Ida Moor")
    old = band.horn_named(ida.id, "the old one")
    first, *_, last = band.readings_of(old.id, withdrawn=True)
    band.add_readings(old.id, [played(1.0)], now=LATER)
    band.rename_horn(old.id, "the good one", now=LATER)
    band.withdraw([last.id], now=LATER)
    other.add_readings(old.id, [played(2.0)], now=LATER)
    other.rename_player(ida.id, "Ida Fell", now=LATER)
    other.rename_horn(old.id, "never mind", now=NOW + timedelta(days=1))
    other.restore([first.id], now=LATER)
    here, there = band.export_all(), other.export_all()
    assert band.import_all(there) == Imported(0, 0, 1, 2)
    assert other.import_all(here) == Imported(0, 0, 1, 2)
    assert band.export_all() == other.export_all()
    assert other.horn_named(ida.id, "the good one").id == old.id
    assert other.player_named("Ida Fell").id == ida.id
    states = {kept.id: kept.withdrawn for kept in band.readings_of(old.id, withdrawn=True)}
    assert (states[first.id], states[last.id]) == (False, True)


def test_names_may_change_hands(band: Store, new_store: NewStore) -> None:
    other = new_store()
    other.import_all(band.export_all())
    ida, tom = band.player_named("Ida Moor"), band.player_named("Tómas Hill")
    for player, name in ((ida, "x"), (tom, "Ida Moor"), (ida, "Tómas Hill")):
        band.rename_player(player.id, name, now=LATER)
    other.import_all(band.export_all())
    assert other.player_named("Ida Moor").id == tom.id


def test_a_later_deletion_is_taken_over_and_an_earlier_is_not(band: Store, new_store: NewStore) -> None:
    other = new_store()
    other.import_all(band.export_all())
    ida, tom = band.player_named("Ida Moor"), band.player_named("Tómas Hill")
    other.delete_player(ida.id, now=LATER)
    other.delete_player(tom.id, now=LATER)
    band.rename_player(tom.id, "Tom", now=LATER + timedelta(days=1))
    band.import_all(other.export_all())
    assert [player.name for player in band.players()] == ["Tom"]


def test_two_players_of_one_name_are_not_joined_silently(band: Store, new_store: NewStore) -> None:
    other = new_store()
    other.add_player("IDA MOOR", now=NOW)
    before = other.export_all()
    with pytest.raises(StoreError, match=r"two players would have the same name.*rename one of them first"):
        other.import_all(band.export_all())
    assert other.export_all() == before


def test_two_horns_of_one_name_are_not_joined_silently(band: Store, new_store: NewStore) -> None:
    other = new_store()
    other.import_all(band.export_all())
    ida = band.player_named("Ida Moor")
    other.add_horn(ida.id, "Spare", model="trumpet-b", now=LATER)
    band.add_horn(ida.id, "spare", model="trumpet-b", now=LATER)
    with pytest.raises(StoreError, match="two horns of Ida Moor would have the same name"):
        other.import_all(band.export_all())


def altered(out: Collection, which: str) -> Collection:
    player, horn, kept = out.players[0], out.horns[0], out.readings[0]
    changes: dict[str, Collection] = {
        "another day": replace(out, players=(replace(player, created_at=LATER, changed_at=LATER), *out.players[1:])),
        "same moment": replace(out, players=(replace(player, name="Ida"), *out.players[1:])),
        "another model": replace(out, horns=(replace(horn, model="trumpet-b", changed_at=LATER), *out.horns[1:])),
        "another reading": replace(out, readings=(replace(kept, played=played(99.0)), *out.readings[1:])),
        "another history": replace(
            out,
            readings=(
                replace(kept, withdrawals=(Withdrawal(kept.withdrawals[0].at, withdrawn=False),)),
                *out.readings[1:],
            ),
        ),
        "twice": replace(out, players=(*out.players, player)),
        "nobody's": replace(out, players=out.players[1:]),
        "hornless": replace(out, horns=out.horns[1:]),
        "no name": replace(out, players=(replace(player, name=" "), *out.players[1:])),
        "loose name": replace(out, horns=(replace(horn, name=" lent"), *out.horns[1:])),
        "impossible": replace(out, readings=(replace(kept, played=played(5000.0)), *out.readings[1:])),
        "disorder": replace(out, readings=(replace(kept, withdrawals=kept.withdrawals * 2), *out.readings[1:])),
    }
    return changes[which]


def altered_take(out: Collection, which: str) -> Collection:
    first, second, waiting, *rest = out.takes
    take, measures_of_it, sound = first.take, first.measures, first.take.sound
    assert measures_of_it is not None
    assert sound is not None

    def instead(**fields: object) -> Collection:
        return replace(out, takes=(replace(first, **fields), second, waiting, *rest))  # type: ignore[arg-type]

    def taken(**fields: object) -> Collection:
        return instead(take=replace(take, **fields))  # type: ignore[arg-type]

    def told(**fields: object) -> Collection:
        return taken(about=replace(take.about, **fields))  # type: ignore[arg-type]

    def measured(**fields: object) -> Collection:
        return instead(measures=replace(measures_of_it, **fields))  # type: ignore[arg-type]

    def sourced(source: FromTake) -> Collection:
        readings = (kept if kept.take is None else replace(kept, take=source) for kept in out.readings)
        return replace(out, readings=tuple(readings))

    soundless = replace(waiting, take=replace(waiting.take, sound=None))
    changes: dict[str, Callable[[], Collection]] = {
        "another day": lambda: taken(made_at=LATER, changed_at=LATER),
        "another part": lambda: told(part=replace(take.about.part, fingerprint="x")),
        "another recording": lambda: taken(sound=replace(sound, sha256="0" * 64), changed_at=LATER),
        "same moment": lambda: told(note="else"),
        "same moment, figures": lambda: measured(schema=7),
        "twice": lambda: replace(out, takes=(first, *out.takes)),
        "nobody's": lambda: told(player_id="x"),
        "lent horn": lambda: told(player_id=out.players[1].id),
        "unmeasured": lambda: instead(measures=None),
        "soundless": lambda: replace(out, takes=(first, second, soundless, *rest)),
        "lost state": lambda: taken(failure="no"),
        "other measuring": lambda: measured(method="9"),
        "impossible": lambda: measured(length_s=-1.0),
        "way out": lambda: taken(sound=replace(sound, name="../x.wav")),
        "other take's": lambda: taken(sound=replace(sound, name=f"{second.take.id}.wav")),
        "reading of nothing": lambda: sourced(FromTake("x", 1)),
        "reading of another take": lambda: sourced(FromTake(take.id, 77)),
    }
    return changes[which]()


@pytest.mark.parametrize(
    ("which", "words"),
    [
        ("another day", r"take id\d+: this take is another one here"),
        ("another part", "this take is another one here"),
        ("another recording", "this take is another one here"),
        ("same moment", "stands differently here since the same moment"),
        ("same moment, figures", "stands differently here since the same moment"),
        ("twice", "one take stands there 2 times"),
        ("nobody's", "a take of nobody"),
        ("lent horn", "a take on a horn that its player does not have"),
        ("unmeasured", "its state and its measures contradict each other"),
        ("soundless", "what is not measured needs its recording"),
        ("lost state", "its state and its failure contradict each other"),
        ("other measuring", "its measures are of another measuring"),
        ("impossible", "no length; got -1 s"),
        ("way out", "not the name of its recording"),
        ("other take's", "not the name of its recording"),
        ("reading of nothing", "a reading of no take on its horn"),
        ("reading of another take", "this reading is another one here"),
    ],
)
def test_takes_that_contradict_are_refused_and_change_nothing(band: Store, which: str, words: str) -> None:
    fill_with_takes(band)
    out = band.export_all()
    with pytest.raises(StoreError, match=words):
        band.import_all(altered_take(out, which))
    assert band.export_all() == out


@pytest.mark.parametrize(
    ("which", "words"),
    [
        ("another day", "Ida Moor is another one here"),
        ("same moment", "Ida stands differently here since the same moment"),
        ("another model", "the old one is another one here"),
        ("another reading", "reading is another one here"),
        ("another history", "has another history here"),
        ("twice", "stands there 2 times"),
        ("nobody's", "a horn of nobody"),
        ("hornless", "a reading of no horn"),
        ("no name", "cannot be the name of a player"),
        ("loose name", "not as names are kept"),
        ("impossible", "cents out of reach"),
        ("disorder", "history is out of order"),
    ],
)
def test_contradictions_are_refused_and_change_nothing(band: Store, which: str, words: str) -> None:
    out = band.export_all()
    with pytest.raises(StoreError, match=words):
        band.import_all(altered(out, which))
    assert band.export_all() == out


def measured(store: Store, player_id: str, horn_id: str, *, day: int) -> str:
    """A take of their own, measured; its id."""
    return receive(store, about(player_id, horn_id), day=day).id


def deeds(store: Store, at: int, start_day: int) -> dict[str, Callable[[], object]]:
    """What a player might do, with times that no other store has."""
    now = NOW + timedelta(days=100 + 2 * at, minutes=start_day)
    everything = store.export_all()
    ida, *_ = sorted(everything.players, key=lambda player: player.id)
    horn, *_ = sorted(everything.horns, key=lambda horn: horn.id)
    reading, take = everything.readings[0].id, everything.takes[at % len(everything.takes)].take.id
    begun = everything.trials[at % len(everything.trials)].trial.id
    made = everything.sheets[at % len(everything.sheets)].sheet.id
    attempt = everything.attempts[at % len(everything.attempts)].attempt
    of_trial = everything.trials[0].trial
    return {
        "reading": lambda: store.add_readings(horn.id, [played(at)], now=now),
        "withdraw": lambda: store.withdraw([reading], now=now),
        "restore": lambda: store.restore([reading], now=now),
        "rename": lambda: store.rename_player(ida.id, f"Ida {start_day} {at}", now=now),
        "delete": lambda: store.delete_horn(horn.id, now=now),
        "undelete": lambda: store.undelete_horn(horn.id, now=now),
        "note": lambda: store.note_on_horn(horn.id, f"{start_day} {at}", now=now),
        "take": lambda: receive(store, about(horn.player_id, horn.id, keeps_sound=at % 2 == 0), day=start_day),
        "measure": lambda: store.keep_measures(take, measures(), tones=[(at, played(at))], now=now),
        "fail": lambda: store.fail_take(take, f"{start_day}", now=now),
        "forget": lambda: store.forget_sound(take, now=now),
        "delete take": lambda: store.delete_take(take, now=now),
        "undelete take": lambda: store.undelete_take(take, now=now),
        "note take": lambda: store.note_on_take(take, f"{start_day} {at}", now=now),
        "log": lambda: store.log_attempts(
            [ear(horn.player_id, horn.id, list(Ear)[at % 3], trial_id=of_trial.id, arm=f"{start_day}")], now=now
        ),
        "withdraw attempt": lambda: store.withdraw_attempts([attempt.id], now=now),
        "restore attempt": lambda: store.restore_attempts([attempt.id], now=now),
        "begin": lambda: store.add_trial(trial(horn.player_id, horn.id), now=now),
        "end": lambda: store.end_trial(begun, now=now),
        "reopen": lambda: store.reopen_trial(begun, now=now),
        "delete trial": lambda: store.delete_trial(begun, now=now),
        "undelete trial": lambda: store.undelete_trial(begun, now=now),
        "own block": lambda: store.add_trial_take(
            of_trial.id, measured(store, horn.player_id, horn.id, day=start_day), block=at, now=now
        ),
        "sheet": lambda: store.add_sheet(sheet(horn.player_id, horn.id), now=now),
        "tick": lambda: store.tick_sheet(made, [(at % 3, list(TickState)[start_day - 1])], now=now),
        "delete sheet": lambda: store.delete_sheet(made, now=now),
        "undelete sheet": lambda: store.undelete_sheet(made, now=now),
    }


ROWS = ("reading", "withdraw", "restore", "rename", "delete", "undelete", "note")
TAKES = ("take", "measure", "fail", "forget", "delete take", "undelete take", "note take")
PRACTICE = (
    *("log", "withdraw attempt", "restore attempt", "begin", "end", "reopen", "delete trial", "undelete trial"),
    *("own block", "sheet", "tick", "delete sheet", "undelete sheet"),
)
VERBS = st.lists(st.sampled_from(ROWS + TAKES + PRACTICE), max_size=20)


def live(store: Store, verbs: list[str], *, start_day: int) -> None:
    """Do things one after the other; what cannot be done is left."""
    for at, verb in enumerate(verbs):
        with suppress(StoreError):
            deeds(store, at, start_day)[verb]()


@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(VERBS, VERBS)
def test_whatever_was_done_in_either_both_come_to_hold_the_same(
    new_store: NewStore, one_does: list[str], other_does: list[str]
) -> None:
    one, other = new_store(), new_store()
    fill(one)
    fill_with_takes(one)
    fill_with_practice(one)
    other.import_all(one.export_all(), sounds=sounds_of(one))
    live(one, one_does, start_day=1)
    live(other, other_does, start_day=2)
    here, there = one.export_all(), other.export_all()
    one.import_all(through_text(there), sounds=sounds_of(other))
    other.import_all(through_text(here), sounds=sounds_of(one))
    assert one.export_all() == other.export_all()
    for store in (one, other):
        assert store.sounds_astray() == Astray()
    fresh = new_store()
    fresh.import_all(through_text(one.export_all()))
    assert fresh.export_all() == one.export_all()
