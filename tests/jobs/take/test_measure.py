"""What the player says of a take is checked against the part before anything is measured."""

import numpy as np
import pytest

from builders.parts import part_of
from builders.studies import hand_made_study
from slurwright.devices.packaged import load_chances, load_familiarity, load_horn, load_listening
from slurwright.errors import RequestError, SoundError
from slurwright.jobs.demo.player import made_up_take
from slurwright.jobs.study import StudyRequest, study_part
from slurwright.jobs.take.measure import TakeRequest, departures, measure_part_take
from slurwright.listen.sound import HeldSound
from slurwright.plan import Technique

TUNE = "(F3 B3) r C4 | (D4/2 C4) B3 | F3/4"
QUIET = HeldSound(np.zeros(22050, np.float32), 22050.0)


def _refused(*tried: str, bars: str | None = None) -> tuple[str, ...]:
    with pytest.raises(RequestError) as caught:
        _measured(*tried, bars=bars)
    return tuple(fault.problem for fault in caught.value.faults)


def _measured(*tried: str, bars: str | None = None) -> None:
    study = hand_made_study(part_of(TUNE))
    measure_part_take(QUIET, study, TakeRequest(bars=bars, tried=tried), limits=load_listening(), where="monday.wav")


def test_all_faults_of_what_was_tried_are_told_at_once() -> None:
    told = ("1:1=slap", "1:1", "9:1=legato-tongue", "soon=half-valve", "2:4=half-valve", "1:1=half-valve")
    assert _refused(*told) == (
        "not a place and a technique",
        "not a place and a technique",
        "no note stands there",
        "not a place in a part",
        "no slur that was asked for leads from there",
    )


def test_two_techniques_cannot_be_tried_at_one_slur() -> None:
    assert _refused("1:1=half-valve", "F3=legato-tongue") == ("two techniques were said of one slur",)


def test_a_slur_outside_the_bars_was_not_asked_for() -> None:
    assert _refused("1:1=half-valve", bars="2-3") == ("no slur that was asked for leads from there",)


@pytest.mark.parametrize("told", [("1:1=half-valve",), ("1:1=half-valve", "F3=half-valve"), ()])
def test_silence_is_told_once_the_words_are_right(told: tuple[str, ...]) -> None:
    with pytest.raises(SoundError, match="nothing of the passage is heard") as caught:
        _measured(*told)
    (fault,) = caught.value.faults
    assert fault.got.startswith("1.0 s without a pitch")
    assert fault.where == "monday.wav"


def test_fingerings_off_the_normal_ones_are_said_because_a_recording_does_not_show_them() -> None:
    part = part_of("(F3 Bb3) F3")
    assert departures(hand_made_study(part), range(3)) == ()
    refingered = hand_made_study(part, chosen={0: "4"})
    (notice,) = departures(refingered, range(3))
    assert "1:2=4 (normal: 0)" in str(notice)
    assert departures(refingered, range(1, 3)) == ()


def test_on_a_slide_the_legato_tongue_is_tried_where_the_slide_would_smear() -> None:
    trombone = load_horn("trombone-f")
    study = study_part(
        part_of("(D4 C4) r r | (F3 Bb3) r r"),
        trombone,
        StudyRequest(best=1),
        chances=load_chances(),
        familiarity=load_familiarity(),
    )
    take = made_up_take(study, {0: 0.0, 2: 0.0}, tried={}, rng=np.random.default_rng(1001))
    sound = HeldSound(np.asarray(take.samples, np.float32), take.rate_hz)
    for tried, techniques in (((), {0: Technique.LEGATO_TONGUE}), (("1:1=plain",), {0: Technique.PLAIN})):
        taken = measure_part_take(sound, study, TakeRequest(tried=tried), limits=load_listening())
        assert taken.techniques == techniques
