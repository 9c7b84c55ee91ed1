"""A whole take measured: track, following, room, every note, every slur; and librosa's pYIN over the same sound.

The take is the demo's, 47 s with 43 notes and 22 slurs: dense in slurs, which cost most.
"""

from collections.abc import Callable
from functools import partial

import numpy as np

from slurwright.devices.packaged import demo_part, load_horn, load_listening
from slurwright.jobs.demo.take import DemoTake, demo_take
from slurwright.jobs.passage import AskedPassage, passage_of
from slurwright.jobs.study import StudyRequest
from slurwright.wiring.part import study_score

_SEED = 1860


def prepare_take() -> Callable[[], object]:
    """Ours: from samples to every figure."""
    from slurwright.listen.measuring import measure_take  # noqa: PLC0415  a side is charged with its own imports
    from slurwright.listen.sound import HeldSound  # noqa: PLC0415

    take, asked = _take()
    return partial(measure_take, HeldSound(take.samples, take.rate_hz), asked.passage, limits=load_listening())


def prepare_pyin() -> Callable[[], object]:
    """The other: a pitch track alone, at its usual step."""
    import librosa  # noqa: PLC0415

    take, _ = _take()
    return partial(librosa.pyin, take.samples, fmin=50.0, fmax=1000.0, sr=take.rate_hz, frame_length=2048)


def _take() -> tuple[DemoTake, AskedPassage]:
    name, data = demo_part()
    study = study_score(data, name, load_horn("euphonium-4c"), StudyRequest(each_time=True, best=1)).study
    return demo_take(study, rng=np.random.default_rng(_SEED)), passage_of(study)
