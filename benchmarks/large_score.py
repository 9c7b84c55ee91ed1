"""A score for 36 brass players made of real music: a string quartet from the public domain, doubled and folded.

music21's corpus holds Beethoven's quartet op. 59 no. 3 as several programs wrote it. Each of its four parts is given
to nine instruments. What one player cannot play is taken out or moved: of two notes at once the first is kept, of two
voices the first; the part is moved by the octaves that bring most of its notes into the instrument's comfortable
range, and each note still outside is moved by an octave more. So every note can be planned and none is skipped.

Nothing of it is kept: the score is put together in memory, and written to a temporary folder for the library it is
measured against. Run ``python -m benchmarks.large_score`` to see what it holds.
"""

from collections import Counter
from collections.abc import Callable
from copy import deepcopy
from dataclasses import dataclass
from pathlib import Path

from lxml import etree

from slurwright.devices.packaged import load_chances, load_familiarity, load_horn
from slurwright.formats.musicxml import open_musicxml
from slurwright.formats.musicxml.container import score_bytes
from slurwright.horn import Horn
from slurwright.plan import Plan, plan_line
from slurwright.score import line_of

__all__ = ["SCORING", "LargeScore", "large_score"]

SOURCE = "beethoven/opus59no3/movement4"
SCORING = tuple(
    players.split()
    for players in (
        "trumpet-b trumpet-c cornet-b flugelhorn-b cornet-b trumpet-b trumpet-eb cornet-eb trumpet-d",
        "cornet-b flugelhorn-b-4 horn-eb-tenor trombone-alto cornet-b trumpet-c horn-f trumpet-b flugelhorn-b",
        "horn-double horn-f horn-b horn-eb-tenor baritone-3c trombone trombone-f baritone-3 horn-double",
        "euphonium-4c euphonium-4 trombone-bass tuba-eb-4c tuba-f-6 tuba-c-5 tuba-b-4c tuba-b-3c tuba-eb-3c",
    )
)
"""Instruments that play each part of the quartet, from the first violin to the violoncello."""
_SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


@dataclass(frozen=True, slots=True)
class LargeScore:
    """The score, who plays it, and what was done to make it playable."""

    data: bytes
    horns: tuple[str, ...]
    """One a part, in score order."""
    notes: int
    folded: int
    """Notes moved by octaves against the rest of their part."""


def large_score(source: str = SOURCE) -> LargeScore:
    """Put the score together."""
    quartet = _corpus_score(source)
    parts = quartet.findall("part")
    root = etree.Element("score-partwise", version="3.1")
    listed = etree.SubElement(root, "part-list")
    horns: list[str] = []
    notes = folded = 0
    for part, players in zip(parts, SCORING, strict=True):
        line = _one_line(part)
        for horn_id in players:
            horns.append(horn_id)
            heading = etree.SubElement(listed, "score-part", id=f"P{len(horns)}")
            etree.SubElement(heading, "part-name").text = f"{load_horn(horn_id).name} {len(horns)}"
            played = deepcopy(line)
            played.set("id", f"P{len(horns)}")
            folded += _fold(played, load_horn(horn_id))
            notes += sum(1 for _ in played.iter("pitch"))
            root.append(played)
    data = etree.tostring(root, xml_declaration=True, encoding="UTF-8")
    return LargeScore(data, tuple(horns), notes, folded)


def _corpus_score(source: str) -> etree._Element:
    """Open a score of music21's corpus as it stands in its file."""
    from music21 import corpus  # noqa: PLC0415  half a second, and only the one who makes the score needs it

    path = corpus.getWork(source)
    parser = etree.XMLParser(load_dtd=False, no_network=True)
    return etree.fromstring(score_bytes(path.read_bytes(), where=source), parser)


def _one_line(part: etree._Element) -> etree._Element:
    """Leave one note at a time: nothing after a jump back in time, no further note of a chord."""
    line = deepcopy(part)
    for measure in line.iterchildren("measure"):
        back = measure.find("backup")
        later = [] if back is None else [back, *back.itersiblings("note", "backup", "forward")]
        chords = [note for note in measure.iterchildren("note") if note.find("chord") is not None]
        for element in dict.fromkeys([*later, *chords]):
            measure.remove(element)
    return line


def _fold(part: etree._Element, horn: Horn) -> int:
    """Move the pitches of a part into the comfortable range of a horn; say how many did not move with the rest."""
    low, high = (pitch.midi for pitch in horn.comfortable)
    pitches = list(part.iter("pitch"))
    heights = [_height(pitch) for pitch in pitches]
    inside = Counter(
        octaves for height in heights for octaves in range(-5, 6) if low <= height + 12 * octaves <= high
    )
    usual = max(inside, key=lambda octaves: (inside[octaves], -abs(octaves)))
    folded = 0
    for pitch, height in zip(pitches, heights, strict=True):
        octaves = usual
        while height + 12 * octaves > high:
            octaves -= 1
        while height + 12 * octaves < low:
            octaves += 1
        folded += octaves != usual
        octave = pitch.find("octave")
        assert octave is not None
        octave.text = str(int(octave.text or "") + octaves)
    return folded


def _height(pitch: etree._Element) -> int:
    step, octave = pitch.findtext("step") or "", int(pitch.findtext("octave") or "")
    return 12 * (octave + 1) + _SEMITONES[step] + int(float(pitch.findtext("alter") or 0))


def prepare_file(folder: str) -> Callable[[], object]:
    """Write the score and the list of its horns where the others find them."""

    def work() -> None:
        made = large_score()
        (Path(folder) / "large.musicxml").write_bytes(made.data)
        (Path(folder) / "large-horns.txt").write_text("\n".join(made.horns), encoding="ascii")

    return work


def prepare_read(folder: str) -> Callable[[], object]:
    """Open the score and read every part into a line."""
    data = (Path(folder) / "large.musicxml").read_bytes()

    def work() -> object:
        score = open_musicxml(data, where="large.musicxml")
        return score, [line_of(score.part(heading)) for heading in score.headings]

    return work


def prepare_plan(folder: str) -> Callable[[], object]:
    """Open the score, read every part and plan it on its horn."""
    data = (Path(folder) / "large.musicxml").read_bytes()
    names = (Path(folder) / "large-horns.txt").read_text(encoding="ascii").split()
    horns = [load_horn(name) for name in names]
    chances, familiarity = load_chances(), load_familiarity()

    def work() -> object:
        score = open_musicxml(data, where="large.musicxml")
        plans: list[Plan] = []
        for heading, horn in zip(score.headings, horns, strict=True):
            line = line_of(score.part(heading))
            plans += plan_line(line, horn, chances=chances, familiarity=familiarity)
            assert len(plans[-1].ways) == len(line.sounds)
        return score, plans

    return work


if __name__ == "__main__":
    made = large_score()
    print(
        f"{len(made.data) / 1e6:.1f} MB, {len(made.horns)} parts, {made.notes} notes, {made.folded} of them folded "
        f"({made.folded / made.notes:.0%})"
    )
