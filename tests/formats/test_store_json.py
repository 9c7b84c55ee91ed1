"""The export: goes round exactly, is what the published schema says, and names every fault by its place."""

import json
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from builders.any_practice import whole_attempts, whole_sheets, whole_trials
from builders.any_take import TIMES, WORDS, whole_takes
from slurwright.errors import StoreError
from slurwright.formats.collection import Collection
from slurwright.formats.store_json import collection_from_json, collection_to_json
from slurwright.horn.learnt.values import ToneReading
from slurwright.horn.owned import FromTake, KeptReading, OwnedHorn, PlayedTone, Player, Source, Withdrawal
from slurwright.pitch import SoundingPitch, WrittenPitch

SCHEMA = Path(__file__).parents[2] / "docs" / "schemas" / "store.schema.json"
FIXTURES = Path(__file__).parents[1] / "store" / "fixtures"
CONTENT = FIXTURES / "content-0004.json"
CONTENT_WITHOUT_PRACTICE = FIXTURES / "content-0003.json"
OLD_CONTENT = FIXTURES / "content.json"

CENTS = st.floats(-1200, 1200)
PITCH = st.tuples(st.sampled_from("CDEFGAB"), st.integers(-2, 2), st.integers(-1, 8))


@st.composite
def collections(draw: st.DrawFn) -> Collection:
    players = [
        Player(f"p{at}", draw(WORDS), draw(TIMES), draw(TIMES), draw(st.none() | TIMES))
        for at in range(draw(st.integers(0, 2)))
    ]
    horns = [
        OwnedHorn(
            f"h{at}",
            draw(st.sampled_from(players)).id,
            draw(WORDS),
            draw(WORDS),
            draw(st.none() | WORDS),
            draw(st.just("") | WORDS),
            draw(TIMES),
            draw(TIMES),
            draw(st.none() | TIMES),
        )
        for at in range(draw(st.integers(0, 2)) if players else 0)
    ]
    readings = [
        draw(kept(f"r{at}", draw(st.sampled_from(horns)).id)) for at in range(draw(st.integers(0, 4)) if horns else 0)
    ]
    takes = [
        draw(whole_takes(f"t{at}", draw(st.sampled_from(players)).id, [horn.id for horn in horns]))
        for at in range(draw(st.integers(0, 3)) if players else 0)
    ]
    some = st.integers(0, 2) if players else st.just(0)
    trials = [draw(whole_trials(f"trial{at}", draw(st.sampled_from(players)).id)) for at in range(draw(some))]
    sheets = [draw(whole_sheets(f"sheet{at}", draw(st.sampled_from(players)).id)) for at in range(draw(some))]
    attempts = [draw(whole_attempts(f"try{at}", draw(st.sampled_from(players)).id)) for at in range(draw(some))]
    return Collection(
        tuple(sorted(players, key=lambda one: (one.created_at, one.id))),
        tuple(sorted(horns, key=lambda one: (one.created_at, one.id))),
        tuple(sorted(readings, key=lambda one: (one.added_at, one.place, one.id))),
        tuple(sorted(takes, key=lambda one: (one.take.made_at, one.take.id))),
        tuple(sorted(trials, key=lambda one: (one.trial.made_at, one.trial.id))),
        tuple(sorted(sheets, key=lambda one: (one.sheet.made_at, one.sheet.id))),
        tuple(sorted(attempts, key=lambda one: (one.attempt.made_at, one.attempt.place, one.attempt.id))),
    )


@st.composite
def kept(draw: st.DrawFn, reading_id: str, horn_id: str) -> KeptReading:
    tone = ToneReading(
        SoundingPitch(*draw(PITCH)),
        draw(WORDS),
        draw(st.integers(1, 64)),
        draw(CENTS),
        draw(WORDS),
        dynamic=draw(st.floats(-10, 10)),
        temperature_c=draw(st.none() | st.floats(-40, 60)),
        sd_cents=draw(st.floats(0, 1200)),
    )
    written = draw(st.none() | PITCH.map(lambda pitch: WrittenPitch(*pitch)))
    played = PlayedTone(
        tone, draw(st.dates(date(1950, 1, 1), date(2100, 1, 1))), draw(st.sampled_from(Source)), written, draw(WORDS)
    )
    times = sorted(draw(st.sets(TIMES, max_size=3)))
    history = tuple(Withdrawal(at, draw(st.booleans())) for at in times)
    take = draw(st.none() | st.builds(FromTake, WORDS, st.integers(0, 99)))
    return KeptReading(reading_id, horn_id, played, draw(TIMES), draw(st.integers(0, 99)), history, take)


@settings(max_examples=60, deadline=None)
@given(collections())
def test_everything_goes_round_and_fits_the_schema(collection: Collection) -> None:
    text = collection_to_json(collection)
    assert collection_from_json(text) == collection
    assert collection_to_json(collection_from_json(text.encode())) == text
    Draft202012Validator(json.loads(SCHEMA.read_text("utf-8"))).validate(json.loads(text))


def test_the_schema_is_a_schema_and_refuses_what_the_reader_refuses() -> None:
    schema = json.loads(SCHEMA.read_text("utf-8"))
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)
    document = json.loads(CONTENT.read_text("utf-8"))
    assert validator.is_valid(document)
    for spoilt in (first_reading, first_take, first_slur, *(first_of(what) for what in PRACTICE)):
        document = json.loads(CONTENT.read_text("utf-8"))
        spoilt(document)["colour"] = "gold"
        assert not validator.is_valid(document)


def test_a_document_from_before_there_were_takes_is_read() -> None:
    old = OLD_CONTENT.read_text("utf-8")
    collection = collection_from_json(old)
    assert (len(collection.players), len(collection.horns), len(collection.readings)) == (2, 3, 5)
    assert collection.takes == ()
    assert collection_from_json(collection_to_json(collection)) == collection
    document = json.loads(old)
    document["players"][0]["takes"] = []
    with pytest.raises(StoreError, match="a field that is not known; got takes"):
        collection_from_json(json.dumps(document))


def test_a_document_from_before_there_was_practice_is_read() -> None:
    old = CONTENT_WITHOUT_PRACTICE.read_text("utf-8")
    collection = collection_from_json(old)
    assert len(collection.takes) == 5
    assert (collection.trials, collection.sheets, collection.attempts) == ((), (), ())
    slurs = [slur for whole in collection.takes if whole.measures for slur in whole.measures.slurs]
    assert {slur.hold_s for slur in slurs} == {None}
    assert collection_from_json(collection_to_json(collection)) == collection
    document = json.loads(old)
    document["players"][0]["sheets"] = []
    first_slur(document)["hold_s"] = 1.0
    with pytest.raises(StoreError, match=r"not known; got sheets(.|\n)*slurs\[0\]: .*not known; got hold_s"):
        collection_from_json(json.dumps(document))


def test_figures_that_are_whole_are_read_as_figures() -> None:
    text = CONTENT.read_text("utf-8").replace('"cents": -12.5', '"cents": -12')
    cents = collection_from_json(text).readings[0].played.tone.cents
    assert isinstance(cents, float)
    assert cents == -12.0


def test_a_byte_order_mark_is_passed_over() -> None:
    assert collection_from_json(b"\xef\xbb\xbf" + CONTENT.read_bytes()) == collection_from_json(
        CONTENT.read_text("utf-8")
    )


def altered(change: Callable[[dict[str, Any]], object]) -> str:
    document = json.loads(CONTENT.read_text("utf-8"))
    change(document)
    return json.dumps(document)


PRACTICE = ("trials", "sheets", "attempts")


def first_of(what: str) -> Callable[[dict[str, Any]], dict[str, Any]]:
    def first(document: dict[str, Any]) -> dict[str, Any]:
        found: dict[str, Any] = document["players"][0][what][0]
        return found

    return first


a_trial, a_sheet, an_attempt = map(first_of, PRACTICE)


def first_take(document: dict[str, Any]) -> dict[str, Any]:
    take: dict[str, Any] = document["players"][0]["takes"][0]
    return take


def first_slur(document: dict[str, Any]) -> dict[str, Any]:
    slur: dict[str, Any] = first_take(document)["measures"]["slurs"][0]
    return slur


def first_reading(document: dict[str, Any]) -> dict[str, Any]:
    reading: dict[str, Any] = document["players"][0]["horns"][0]["readings"][0]
    return reading


PLACE = r"players\[0\]\.horns\[0\]\.readings\[0\]"
TAKE = r"players\[0\]\.takes\[0\]"
SLUR = TAKE + r"\.measures\.slurs\[0\]"


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda d: d.update(version=4), "of a version that is not known here; got 4; allowed: 1 or 2 or 3"),
        (lambda d: d.update(version=True), "of a version that is not known here; got True"),
        (lambda d: d.update(format="else"), "not an export of a store"),
        (lambda d: d.update(players={}), r"the export\.players: .*allowed: a list"),
        (lambda d: d.update(players=[3]), r"players\[0\]: not an object; got 3"),
        (lambda d: d.update(more=1), "a field that is not known; got more"),
        (lambda d: d["players"][0].pop("name"), r"players\[0\]: a field is missing; got name"),
        (lambda d: d["players"][0].update(name=""), "a text that is not empty"),
        (lambda d: d["players"][0].update(id="\ud800"), r"players\[0\]\.id"),
        (lambda d: d["players"][0].update(created_at="2026-01-09T10:00:00"), "a time with its zone"),
        (
            lambda d: d["players"][0].update(created_at="0001-01-01T00:00:00+10:00"),
            r"created_at: not what it should be",
        ),
        (lambda d: first_reading(d).update(sounding="H3"), PLACE + r"\.sounding: .*got \"H3\""),
        (lambda d: first_reading(d).update(cents="3"), PLACE + r"\.cents: .*allowed: a number"),
        (lambda d: first_reading(d).update(cents=True), PLACE + r"\.cents"),
        (lambda d: first_reading(d).update(partial=2.5), PLACE + r"\.partial: .*a whole number"),
        (lambda d: first_reading(d).update(source="heard"), PLACE + r"\.source"),
        (lambda d: first_reading(d).update(played_on="9.1.2026"), PLACE + r"\.played_on"),
        (lambda d: first_reading(d).update(withdrawals=[{"at": 3}]), PLACE + r"\.withdrawals\[0\]"),
        (lambda d: first_reading(d)["withdrawals"][0].update(withdrawn=1), r"allowed: true or false"),
        (lambda d: first_reading(d).update(take={"id": "x"}), PLACE + r"\.take: a field is missing; got asked"),
        (lambda d: first_take(d).update(state="lost"), TAKE + r"\.state: .*got \"lost\""),
        (lambda d: first_take(d)["part"].pop("fingerprint"), TAKE + r"\.part: a field is missing; got fingerprint"),
        (lambda d: first_take(d)["asked"].update(a4_hz="A"), TAKE + r"\.asked\.a4_hz: .*allowed: a number"),
        (lambda d: first_take(d)["sound"].update(size_bytes=1.5), TAKE + r"\.sound\.size_bytes"),
        (lambda d: first_take(d).update(measures=[]), TAKE + r"\.measures: not an object"),
        (lambda d: first_take(d)["measures"].update(notes=[3]), TAKE + r"\.measures\.notes\[0\]: not an object"),
        (
            lambda d: first_slur(d).update(dip_db={"value": 3}),
            SLUR + r"\.dip_db: .*a figure: value, low and high, or",
        ),
        (lambda d: first_slur(d).update(dip_db={"hidden": "fog"}), SLUR + r"\.dip_db"),
        (lambda d: first_slur(d).update(asked=[1]), SLUR + r"\.asked"),
        (lambda d: first_slur(d)["ways"][1].update(sounding="H"), SLUR + r"\.ways\[1\]\.sounding"),
        (lambda d: first_slur(d)["foreign"].update(length_ms={"hidden": "room"}), SLUR + r"\.foreign\.length_ms"),
        (lambda d: first_slur(d).update(reasons=["dull"]), SLUR + r"\.reasons"),
        (lambda d: first_slur(d).update(hold_s="long"), SLUR + r"\.hold_s"),
        (lambda d: a_trial(d).update(document=3), r"players\[0\]\.trials\[0\]\.document: .*a text"),
        (lambda d: a_trial(d)["takes"][0].pop("block"), r"trials\[0\]\.takes\[0\]: a field is missing; got block"),
        (lambda d: a_sheet(d).update(day="today"), r"players\[0\]\.sheets\[0\]\.day"),
        (lambda d: a_sheet(d)["ticks"][1].update(state="half"), r"sheets\[0\]\.ticks\[1\]\.state: .*got \"half\""),
        (lambda d: an_attempt(d).update(heard="well"), r"players\[0\]\.attempts\[0\]\.heard: .*got \"well\""),
        (lambda d: an_attempt(d).update(technique="lip"), r"attempts\[0\]\.technique"),
        (lambda d: an_attempt(d)["ways"].pop(), r"attempts\[0\]\.ways"),
        (lambda d: an_attempt(d).update(part={"file": "x"}), r"attempts\[0\]\.part: a field is missing"),
        (lambda d: an_attempt(d).update(withdrawals=[3]), r"attempts\[0\]\.withdrawals\[0\]: not an object"),
    ],
)
def test_faults_name_their_place(change: Callable[[dict[str, Any]], object], words: str) -> None:
    with pytest.raises(StoreError, match=words):
        collection_from_json(altered(change))


def test_all_faults_are_said_at_once() -> None:
    def spoil(document: dict[str, Any]) -> None:
        document["players"][0]["name"] = 3
        document["players"][1]["id"] = None
        first_reading(document)["cents"] = "low"

    with pytest.raises(StoreError) as caught:
        collection_from_json(altered(spoil))
    assert len(caught.value.faults) == 3


@pytest.mark.parametrize("text", ["", "{", "[" * 100_000, '{"format": NaN}', b"\xff\xfe", "[]", "null"])
def test_what_is_no_document_is_refused(text: str | bytes) -> None:
    with pytest.raises(StoreError, match=r"not JSON|not an export"):
        collection_from_json(text)
