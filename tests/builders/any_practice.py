"""Any attempt, trial or sheet that can be kept, drawn by hypothesis: every field by itself, likely or not."""

from hypothesis import strategies as st

from builders.any_take import ANY_WORDS, DAYS, INDICES, TIMES, WAYS, WORDS
from slurwright.evidence.attempts import Ear, Tried
from slurwright.evidence.kept import (
    EarAttempt,
    KeptSheet,
    KeptTrial,
    LoggedAttempt,
    SheetAbout,
    SheetTick,
    TickState,
    TrialAbout,
    TrialTake,
    WholeAttempt,
    WholeSheet,
    WholeTrial,
)
from slurwright.horn.owned import Withdrawal, withdrawn_since
from slurwright.listen.kept import TakenPart
from slurwright.plan import Technique

_LENGTHS = st.floats(0.0, 1e6)
TRIED = st.builds(
    Tried,
    st.tuples(WAYS, WAYS),
    st.sampled_from(Technique),
    st.floats(-10.0, 10.0),
    st.floats(1e-3, 1e4),
    _LENGTHS,
    _LENGTHS,
)
_PARTS = st.builds(TakenPart, ANY_WORDS, WORDS, ANY_WORDS, ANY_WORDS)


@st.composite
def whole_attempts(draw: st.DrawFn, attempt_id: str, player_id: str) -> WholeAttempt:
    """Any attempt with any history."""
    trial = draw(st.none() | WORDS)
    about = EarAttempt(
        player_id,
        draw(st.none() | WORDS),
        draw(WORDS),
        draw(st.none() | _PARTS),
        draw(ANY_WORDS),
        draw(TRIED),
        draw(st.sampled_from(Ear)),
        draw(DAYS),
        trial,
        draw(ANY_WORDS) if trial else "",
        draw(st.none() | WORDS),
    )
    times = sorted(draw(st.sets(TIMES, max_size=3)))
    history = tuple(Withdrawal(at, draw(st.booleans())) for at in times)
    kept = LoggedAttempt(attempt_id, about, draw(TIMES), withdrawn_since(history), draw(INDICES))
    return WholeAttempt(kept, history)


@st.composite
def whole_trials(draw: st.DrawFn, trial_id: str, player_id: str) -> WholeTrial:
    """Any trial with any takes."""
    about = TrialAbout(player_id, draw(st.none() | WORDS), draw(WORDS), draw(WORDS), draw(st.integers(1, 99)))
    times = draw(TIMES), draw(TIMES), draw(st.none() | TIMES), draw(st.none() | TIMES)
    takes = tuple(TrialTake(trial_id, draw(WORDS), draw(INDICES)) for _ in range(draw(st.integers(0, 2))))
    return WholeTrial(KeptTrial(trial_id, about, *times), takes)


@st.composite
def whole_sheets(draw: st.DrawFn, sheet_id: str, player_id: str) -> WholeSheet:
    """Any sheet with any words on its items."""
    horn, model, words = draw(st.none() | WORDS), draw(WORDS), draw(WORDS)
    about = SheetAbout(player_id, horn, model, draw(DAYS), words, draw(st.integers(1, 99)))
    kept = KeptSheet(sheet_id, about, draw(TIMES), draw(TIMES), draw(st.none() | TIMES))
    states = st.sampled_from(TickState)
    ticks = tuple(
        SheetTick(sheet_id, draw(INDICES), draw(states), draw(TIMES)) for _ in range(draw(st.integers(0, 3)))
    )
    return WholeSheet(kept, ticks)
