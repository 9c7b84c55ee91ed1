"""Any take that can be kept, drawn by hypothesis: every field by itself, likely or not."""

from datetime import UTC, date, datetime

from hypothesis import strategies as st

from slurwright.listen.figure import Figure, Hidden, Veil
from slurwright.listen.followed import PlayedAs
from slurwright.listen.kept import (
    AskedFor,
    KeptMeasures,
    KeptNote,
    KeptSlur,
    KeptTake,
    SoundFile,
    TakeAbout,
    TakenPart,
    TakenWay,
    TakeState,
    WholeTake,
)
from slurwright.listen.measures import Foreign, NoteMeasure, Reason, SlurMeasure, SlurOutcome, SlurPath, Vibrato
from slurwright.pitch import SoundingPitch, WrittenPitch

TIMES = st.datetimes(datetime(1950, 1, 1), datetime(2100, 1, 1), timezones=st.just(UTC))
WORDS = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=12).filter(
    lambda text: text.strip() != ""
)
ANY_WORDS = st.just("") | WORDS
DAYS = st.dates(date(1950, 1, 1), date(2100, 1, 1))
NUMBERS = st.floats(-1e9, 1e9)
INDICES = st.integers(0, 99)
PARTIALS = st.integers(1, 64)
FIGURES = st.lists(NUMBERS, min_size=3, max_size=3).map(
    lambda three: Figure(sorted(three)[1], min(three), max(three))
)
MEASURED = FIGURES | st.sampled_from(Veil).map(Hidden)
_PITCH = st.tuples(st.sampled_from("CDEFGAB"), st.integers(-2, 2), st.integers(-1, 8))
WAYS = st.builds(
    TakenWay,
    _PITCH.map(lambda pitch: WrittenPitch(*pitch)),
    _PITCH.map(lambda pitch: SoundingPitch(*pitch)),
    WORDS,
    PARTIALS,
)


@st.composite
def notes(draw: st.DrawFn) -> KeptNote:
    """Any note."""
    measure = NoteMeasure(
        played=draw(INDICES),
        cents=draw(MEASURED),
        steady_s=(draw(NUMBERS), draw(NUMBERS)),
        drift_cents_s=draw(MEASURED),
        wander_cents=draw(MEASURED),
        scoop_cents=draw(MEASURED),
        vibrato=draw(st.none() | st.builds(Vibrato, FIGURES, FIGURES)),
        level_db=draw(NUMBERS),
        brightness=draw(MEASURED),
    )
    onset, offset = sorted((draw(NUMBERS), draw(NUMBERS)))
    played_as = draw(st.sampled_from(PlayedAs))
    return KeptNote(
        draw(INDICES), draw(ANY_WORDS), draw(WAYS), draw(st.none() | WORDS), draw(NUMBERS), played_as, onset, offset,
        measure,
    )  # fmt: skip


@st.composite
def slurs(draw: st.DrawFn) -> KeptSlur:
    """Any slur."""
    measure = SlurMeasure(
        first=draw(INDICES),
        second=draw(INDICES),
        time_ms=draw(MEASURED),
        dip_db=draw(MEASURED),
        dip_ms=draw(MEASURED),
        silence_ms=draw(MEASURED),
        scoop_cents=draw(MEASURED),
        overshoot_cents=draw(MEASURED),
        path=draw(st.sampled_from(SlurPath)),
        foreign=draw(st.none() | st.builds(Foreign, NUMBERS, st.none() | PARTIALS, FIGURES)),
        outcome=draw(st.sampled_from(SlurOutcome)),
        outcome_chance=draw(st.floats(0, 1)),
        quality=draw(MEASURED),
        reasons=tuple(draw(st.lists(st.sampled_from(Reason), max_size=3))),
    )
    return KeptSlur(
        (draw(INDICES), draw(INDICES)), draw(ANY_WORDS), (draw(WAYS), draw(WAYS)), draw(WORDS), draw(NUMBERS),
        draw(st.floats(1, 400)), draw(st.floats(0, 60)), measure, draw(st.none() | st.floats(0, 60)),
    )  # fmt: skip


@st.composite
def measured(draw: st.DrawFn) -> KeptMeasures:
    """Any measures."""
    return KeptMeasures(
        tuple(draw(st.lists(notes(), max_size=2))),
        tuple(draw(st.lists(slurs(), max_size=2))),
        draw(st.floats(0, 1e5)),
        draw(WORDS),
        draw(ANY_WORDS),
        draw(st.integers(1, 9)),
    )


@st.composite
def whole_takes(draw: st.DrawFn, take_id: str, player_id: str, horns: list[str]) -> WholeTake:
    """Any take of a player, on one of these horns or on none."""
    first, last = sorted((draw(INDICES), draw(INDICES)))
    asked = AskedFor(
        first, last, draw(ANY_WORDS), draw(ANY_WORDS), draw(st.none() | WORDS), draw(st.none() | st.floats(1, 400)),
        draw(st.floats(380, 480)), draw(st.none() | st.floats(-40, 60)),
    )  # fmt: skip
    part = TakenPart(draw(ANY_WORDS), draw(WORDS), draw(ANY_WORDS), draw(ANY_WORDS))
    horn = draw(st.sampled_from(horns) | st.none()) if horns else None
    about = TakeAbout(
        player_id, horn, draw(WORDS), draw(st.none() | WORDS), part, asked, draw(DAYS), draw(ANY_WORDS),
        draw(st.booleans()),
    )  # fmt: skip
    state = draw(st.sampled_from(TakeState))
    measures = draw(measured()) if state is TakeState.MEASURED else None
    digest = draw(st.text("0123456789abcdef", min_size=64, max_size=64))
    ending = draw(st.sampled_from(["wav", "m4a", "3gp"]))
    sound = SoundFile(f"{take_id}.{ending}", draw(st.integers(1, 2**40)), digest, draw(ANY_WORDS))
    take = KeptTake(
        take_id,
        about,
        draw(TIMES),
        draw(TIMES),
        state,
        draw(WORDS) if state is TakeState.FAILED else "",
        None if measures is not None and draw(st.booleans()) else sound,
        "" if measures is None else measures.method,
        None if measures is None else measures.length_s,
        draw(st.none() | TIMES),
    )
    return WholeTake(take, measures)
