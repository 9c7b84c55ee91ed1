"""What of a slur is worth a word: nothing of a smooth one, everything of a broken one."""

from dataclasses import replace

import pytest

from builders.measured_takes import good_take
from slurwright.listen.figure import Figure, Hidden, Veil
from slurwright.listen.measures import Reason, SlurOutcome
from slurwright.listen.telling import hidden_by, telling

SLUR = good_take().measure.slurs[0]
ROUGH = Figure(0.5, 0.3, 0.7)


def test_a_smooth_slur_that_spoke_has_nothing_against_it() -> None:
    assert telling(replace(SLUR, quality=Figure(0.9, 0.8, 1.0), reasons=(Reason.SCOOP,))) == ()
    assert telling(replace(SLUR, quality=ROUGH, reasons=(Reason.SCOOP,))) == (Reason.SCOOP,)
    assert telling(replace(SLUR, quality=Hidden(Veil.ROOM), reasons=(Reason.SCOOP,))) == (Reason.SCOOP,)


def test_what_counts_as_not_tongued_is_not_blamed_for_the_tongue() -> None:
    reasons = (Reason.TONGUE, Reason.SLOW)
    assert telling(replace(SLUR, quality=ROUGH, reasons=reasons)) == (Reason.SLOW,)
    assert telling(replace(SLUR, outcome=SlurOutcome.TONGUED, quality=ROUGH, reasons=reasons)) == reasons


@pytest.mark.parametrize("outcome", [SlurOutcome.BROKE, SlurOutcome.WRONG_NOTE])
def test_of_a_slur_that_did_not_speak_all_is_said(outcome: SlurOutcome) -> None:
    reasons = (Reason.SILENCE, Reason.TONGUE)
    assert telling(replace(SLUR, outcome=outcome, reasons=reasons)) == reasons


def test_what_hides_a_slur_is_named() -> None:
    assert hidden_by(SLUR) is None
    assert hidden_by(replace(SLUR, dip_db=Hidden(Veil.SOFT))) is Veil.SOFT
