from datetime import date, timedelta

import pytest

from builders.kept_practice import PLAYED_ON, SHEET, ear, fill_with_practice, sheet
from builders.kept_takes import fill_with_takes
from builders.stores import NOW
from slurwright.errors import StoreError
from slurwright.evidence.kept import SheetAbout, SheetTick, TickState
from slurwright.store import Store

LATER = NOW + timedelta(days=30)
TICK = timedelta(microseconds=1)
Owner = tuple[str, str]


@pytest.fixture
def owner(band: Store) -> Owner:
    ida = band.player_named("Ida Moor")
    return ida.id, band.horn_named(ida.id, "the old one").id


def test_sheets_come_back_as_they_were_made_by_their_days(band: Store, owner: Owner) -> None:
    late = band.add_sheet(sheet(*owner, day=date(2026, 2, 1)), now=NOW)
    early = band.add_sheet(sheet(owner[0], None), now=LATER)
    assert early.about == SheetAbout(owner[0], None, "euphonium-4c", PLAYED_ON, SHEET, 1)
    assert (early.made_at, early.changed_at, early.deleted_at) == (LATER, LATER, None)
    assert band.sheets_of(owner[0]) == (early, late)
    assert band.sheets_of(owner[0], since=date(2026, 2, 1)) == (late,)
    assert band.sheets_of(owner[0], until=date(2026, 1, 31)) == (early,)
    assert band.sheet_of(late.id) == late


def test_the_last_word_on_an_item_counts(band: Store, owner: Owner) -> None:
    made = band.add_sheet(sheet(*owner), now=NOW)
    assert band.ticks_of(made.id) == ()
    written = band.tick_sheet(made.id, [(2, TickState.DONE), (0, TickState.SKIPPED)], now=LATER)
    assert written == (
        SheetTick(made.id, 0, TickState.SKIPPED, LATER),
        SheetTick(made.id, 2, TickState.DONE, LATER),
    )
    assert band.ticks_of(made.id) == written
    band.tick_sheet(made.id, [(0, TickState.SKIPPED), (0, TickState.DONE)], now=LATER + TICK)
    assert band.ticks_of(made.id) == (SheetTick(made.id, 0, TickState.DONE, LATER + TICK), written[1])
    assert band.sheet_of(made.id) == made, "ticking is no change of the sheet"


def test_words_stay_in_order_though_the_clock_goes_back(band: Store, owner: Owner) -> None:
    made = band.add_sheet(sheet(*owner), now=LATER)
    first = band.tick_sheet(made.id, [(0, TickState.SKIPPED)], now=NOW)
    second = band.tick_sheet(made.id, [(0, TickState.DONE)], now=NOW)
    assert made.made_at <= first[0].at < second[0].at
    assert band.ticks_of(made.id) == second


def test_ticking_is_all_or_nothing(band: Store, owner: Owner) -> None:
    made = band.add_sheet(sheet(*owner), now=NOW)
    with pytest.raises(StoreError, match="no such item; got -1"):
        band.tick_sheet(made.id, [(0, TickState.DONE), (-1, TickState.DONE)], now=NOW)
    with pytest.raises(StoreError, match="no such sheet"):
        band.tick_sheet("x", [(0, TickState.DONE)], now=NOW)
    assert band.ticks_of(made.id) == ()


def test_an_item_is_logged_and_ticked_at_once_or_not_at_all(band: Store, owner: Owner) -> None:
    made = band.add_sheet(sheet(*owner), now=NOW)
    kept = band.log_item(made.id, 1, [ear(*owner, sheet_id=made.id)], now=NOW)
    assert band.attempts_of(owner[0]) == kept
    assert band.ticks_of(made.id) == (SheetTick(made.id, 1, TickState.DONE, NOW),)
    with pytest.raises(StoreError, match="no such item"):
        band.log_item(made.id, -1, [ear(*owner, sheet_id=made.id)], now=LATER)
    with pytest.raises(StoreError, match="needs a model"):
        band.log_item(made.id, 2, [ear(*owner, model="")], now=LATER)
    assert band.attempts_of(owner[0]) == kept
    assert len(band.ticks_of(made.id)) == 1


def test_a_deleted_sheet_is_hidden_and_can_be_taken_back(band: Store, owner: Owner) -> None:
    made = band.add_sheet(sheet(*owner), now=NOW)
    ticked = band.tick_sheet(made.id, [(0, TickState.DONE)], now=NOW)
    kept = band.log_attempts([ear(*owner, sheet_id=made.id)], now=NOW)
    deleted = band.delete_sheet(made.id, now=LATER)
    assert band.sheets_of(owner[0]) == ()
    assert band.sheets_of(owner[0], deleted=True) == (deleted,)
    with pytest.raises(StoreError, match="this sheet is deleted"):
        band.tick_sheet(made.id, [(1, TickState.DONE)], now=LATER)
    with pytest.raises(StoreError, match="this sheet is deleted already"):
        band.delete_sheet(made.id, now=LATER)
    assert band.attempts_of(owner[0]) == kept
    back = band.undelete_sheet(made.id, now=NOW)
    assert back.deleted_at is None
    assert back.changed_at > deleted.changed_at
    assert band.ticks_of(made.id) == ticked
    with pytest.raises(StoreError, match="this sheet is not deleted"):
        band.undelete_sheet(made.id, now=LATER)


def test_a_sheet_is_found_by_the_beginning_of_its_id(band: Store, owner: Owner) -> None:
    made = band.add_sheet(sheet(*owner), now=NOW)
    assert band.sheet_of(made.id[:-1]) == made
    with pytest.raises(StoreError, match="there is no deleted sheet whose id begins so"):
        band.sheet_of(made.id, deleted=True)


def test_a_sheet_without_an_owner_or_a_document_is_refused(band: Store, owner: Owner) -> None:
    with pytest.raises(StoreError, match="its document says nothing"):
        band.add_sheet(SheetAbout(*owner, "euphonium-4c", PLAYED_ON, " ", 1), now=NOW)
    band.delete_horn(owner[1], now=NOW)
    with pytest.raises(StoreError, match="this horn is deleted"):
        band.add_sheet(sheet(*owner), now=NOW)


def test_a_sheet_goes_with_its_horn_and_all_goes_with_its_player(band: Store, owner: Owner) -> None:
    fill_with_takes(band)
    fill_with_practice(band)
    band.delete_horn(owner[1], now=LATER)
    assert band.sheets_of(owner[0]) == ()
    band.purge_horn(owner[1])
    left = band.export_all()
    assert {whole.sheet.about.horn_id for whole in left.sheets} == {None}
    assert {whole.trial.about.horn_id for whole in left.trials} == {None}
    assert {whole.attempt.about.horn_id for whole in left.attempts} == {None}
    band.delete_player(owner[0], now=LATER)
    band.purge_player(owner[0])
    gone = band.export_all()
    assert (gone.sheets, gone.trials, gone.attempts) == ((), (), ())
