"""The demo's take: made up, written as a recording, to be measured like any other."""

from pathlib import Path

import numpy as np

from slurwright.devices.files import write_files
from slurwright.formats.sound.wav import wav_bytes
from slurwright.horn import Horn
from slurwright.jobs.demo.take import demo_take
from slurwright.jobs.study import StudyRequest
from slurwright.wiring.part import StudiedFile, study_score

__all__ = ["make_demo_take"]

_SEED = 1860


def make_demo_take(data: bytes, name: str, horn: Horn, out: Path) -> StudiedFile:
    """Play the demo part with its faults into a WAV file.

    Args:
        data: the demo part's file.
        name: what it is called.
        horn: the demo's horn.
        out: where to write the recording.

    Returns:
        The part, written out as it is played.
    """
    part = study_score(data, name, horn, StudyRequest(each_time=True, best=1))
    take = demo_take(part.study, rng=np.random.default_rng(_SEED))
    write_files({out: wav_bytes(take.samples, take.rate_hz)})
    return part
