"""Weak slurs on every horn of the catalogue, made from lines that look like music, for tests of exercises."""

from functools import cache

from builders.parts import part_of
from slurwright.devices.packaged import load_chances, load_familiarity, load_horn
from slurwright.horn import Horn, HornKind
from slurwright.jobs.study import StudyRequest, study_part
from slurwright.pitch import Reading, SoundingPitch
from slurwright.plan.study import Study
from slurwright.score import Part, TimeSignature

__all__ = ["slurs_to_practise", "study_on"]

_SHAPE = (0, 2, 1, 4, 2, 5, 3, 1)
"""Places of the notes among the open horn's partials in the comfortable range, a line that skips and returns."""


@cache
def study_on(horn_id: str, reading: int = 0, *, dynamic: str = "pp") -> Study:
    """Study a soft, slurred line over the partials of a horn, with some notes between them."""
    horn = load_horn(horn_id)
    request = StudyRequest(dynamic=dynamic, best=1, risk_limit=0.02)
    part = _line_on(horn, horn.readings[reading])
    return study_part(part, horn, request, chances=load_chances(), familiarity=load_familiarity())


def slurs_to_practise(study: Study, *, most: int = 5) -> list[int]:
    """Moves of the weakest slurs, the weakest first."""
    reports = sorted(study.reports, key=lambda report: (-report.break_risk, report.move))
    return [report.move for report in reports[:most]]


def _line_on(horn: Horn, reading: Reading) -> Part:
    low, high = (pitch.midi for pitch in horn.comfortable)
    open_ways = ("1", "0", "T0", "T1") if horn.kind is HornKind.SLIDE else ("0", "T0")
    rungs = [midi for midi, way in horn.normal.items() if low <= midi <= high and way[0] in open_ways]
    midis = [rungs[place % len(rungs)] for place in _SHAPE]
    midis += [midi - 2 for midi in midis if midi - 2 >= low and midi - 2 in horn.normal]
    names = [str(reading.transposition.to_written(SoundingPitch.from_midi(midi))) for midi in midis]
    apart = [name for place, name in enumerate(names) if place == 0 or midis[place] != midis[place - 1]]
    bars = [apart[start : start + 4] for start in range(0, len(apart), 4)]
    bars[-1] += ["r"] * (4 - len(bars[-1]))
    text = []
    for bar in bars:
        notes = [place for place, name in enumerate(bar) if name != "r"]
        if len(notes) > 1:
            bar[notes[0]] = f"({bar[notes[0]]}"
            bar[notes[-1]] = f"{bar[notes[-1]]})"
        text.append(" ".join(bar))
    return part_of(" | ".join(text), time=TimeSignature(4, 4), transposition=reading.transposition, clef=reading.clef)
