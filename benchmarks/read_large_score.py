"""How long all parts of a large score take to open, read and make into lines, beside music21's parse of the file.

Run: ``python benchmarks/read_large_score.py``; ``--alone`` leaves music21 out. A score of 36 parts and over 20 MB is
made: slurs, dynamics, beams, accidentals and layout attributes as notation programs write them. Times are of the
processor. What can be compared between machines is the ratio, measured in the same run; reading and planning together
are meant to stay below one third.
"""

import random
import sys
import tempfile
import time
from pathlib import Path

from slurwright.formats.musicxml import open_musicxml
from slurwright.score import line_of

PARTS, MEASURES = 36, 340
STEPS = "CDEFGAB"


def made_score(seed: int = 1) -> bytes:
    """Write the score; the same seed gives the same bytes."""
    rng = random.Random(seed)
    listed = "".join(
        f'<score-part id="P{n}"><part-name>Horn {n}</part-name></score-part>\n' for n in range(1, PARTS + 1)
    )
    parts = "".join(made_part(rng, number) for number in range(1, PARTS + 1))
    text = (
        f'<?xml version="1.0" encoding="UTF-8"?>\n<score-partwise version="4.0">\n<part-list>\n{listed}</part-list>\n'
    )
    return f"{text}{parts}</score-partwise>\n".encode()


def made_part(rng: random.Random, number: int) -> str:
    measures = "".join(made_measure(rng, index) for index in range(MEASURES))
    return f'<part id="P{number}">\n{measures}</part>\n'


def made_measure(rng: random.Random, index: int) -> str:
    out = [f'  <measure number="{index + 1}" width="{180 + rng.random() * 90:.2f}">\n']
    if index == 0:
        out.append(
            "    <attributes><divisions>4</divisions><key><fifths>-2</fifths></key><time><beats>4</beats>"
            "<beat-type>4</beat-type></time><clef><sign>G</sign><line>2</line></clef>"
            "<transpose><diatonic>-4</diatonic><chromatic>-7</chromatic></transpose></attributes>\n"
        )
    if index % 4 == 0:
        mark = rng.choice(["p", "mf", "f", "pp"])
        out.append(
            f'    <direction placement="below"><direction-type><dynamics default-x="12" default-y="-65.00">'
            f'<{mark}/></dynamics></direction-type><sound dynamics="80"/></direction>\n'
        )
    out += [made_note(rng, beat, slurred=index % 2 == 0) for beat in range(8)]
    out.append("  </measure>\n")
    return "".join(out)


def made_note(rng: random.Random, beat: int, *, slurred: bool) -> str:
    step, octave = rng.choice(STEPS), rng.choice([4, 5])
    alter = "        <alter>-1</alter>\n" if step in "BE" else ""
    beam = "end" if beat % 2 else "begin"
    notations = ""
    if slurred and beat in {0, 7}:
        kind = "stop" if beat else "start"
        notations = f'      <notations>\n        <slur type="{kind}" number="1"/>\n      </notations>\n'
    return (
        f'    <note default-x="{rng.random() * 200:.2f}" default-y="{-rng.random() * 50:.2f}">\n      <pitch>\n'
        f"        <step>{step}</step>\n{alter}        <octave>{octave}</octave>\n      </pitch>\n"
        "      <duration>2</duration>\n      <voice>1</voice>\n      <type>eighth</type>\n"
        f'      <stem default-y="{-rng.random() * 60:.2f}">down</stem>\n      <beam number="1">{beam}</beam>\n'
        f"{notations}    </note>\n"
    )


def main(*, alone: bool) -> int:
    """Print the times; status 1 when the target is missed."""
    data = made_score()
    started = time.process_time()
    score = open_musicxml(data, where="made")
    headings = score.headings
    opened = time.process_time()
    one = score.part(headings[-1])
    line_of(one)
    first = time.process_time()
    notes = sum(len(line_of(score.part(heading)).sounds) for heading in headings)
    done = time.process_time()
    ours = done - first + (opened - started)
    print(f"{len(data) / 1e6:.1f} MB, {len(headings)} parts, {notes} sounds")
    print(f"open and list {opened - started:.2f} s; one part {first - opened:.3f} s; all parts {ours:.2f} s in all")
    if alone:
        return 0
    import music21  # noqa: PLC0415  (half a second, and not needed with --alone)

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "made.musicxml"
        path.write_bytes(data)
        started = time.process_time()
        music21.converter.parse(path, forceSource=True, storePickle=False)
        theirs = time.process_time() - started
    print(f"music21 parses it in {theirs:.2f} s; ratio {ours / theirs:.3f}")
    return int(ours > theirs / 3)


if __name__ == "__main__":
    sys.exit(main(alone="--alone" in sys.argv))
