"""How long marking takes beside parsing the same score and writing it again, in the same run.

Run: ``python benchmarks/mark_speed.py``. A score of 36 parts and about 26 MB is made; one part of it is marked, then
every sounding note. The ratio to lxml's parse and serialise, which is what marking by a parser would cost at least
(and would not give the same bytes), is what can be compared between machines.
"""

import time
from collections.abc import Callable
from typing import Any

from lxml import etree

from slurwright.formats.marks import Mark, mark_file, unmark_file

PARTS, MEASURES = 36, 600
_NOTE = """\
      <note default-x="{x}.25">
        <pitch>
          <step>{step}</step>
          <octave>4</octave>
        </pitch>
        <duration>2</duration>
        <voice>1</voice>
        <type>quarter</type>
        <stem default-y="3">up</stem>
        <notations>
          <slur number="1" type="{slur}"/>
        </notations>
      </note>
"""


def score() -> bytes:
    """A part-wise score of quarter notes, slurred in pairs."""
    bar = "".join(_NOTE.format(x=80 + 40 * at, step="CDEG"[at], slur=("start", "stop")[at % 2]) for at in range(4))
    names = "".join(f'<score-part id="P{at}"><part-name>Part {at}</part-name></score-part>' for at in range(PARTS))
    measures = "".join(f'    <measure number="{at + 1}">\n{bar}    </measure>\n' for at in range(MEASURES))
    parts = "".join(f'  <part id="P{at}">\n{measures}  </part>\n' for at in range(PARTS))
    head = f'<?xml version="1.0"?>\n<score-partwise>\n<part-list>{names}</part-list>\n'
    return f"{head}{parts}</score-partwise>\n".encode()


def best(work: Callable[[], Any]) -> float:
    """Shortest of three runs [s]."""
    times = []
    for _ in range(3):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def main() -> None:
    """Print the figures."""
    data = score()
    whole = best(lambda: etree.tostring(etree.fromstring(data)))
    print(f"{len(data) / 1e6:.1f} MB; lxml parses and writes it in {whole:.2f} s")
    for words, count in (("one part", MEASURES * 4), ("every note", PARTS * MEASURES * 4)):
        marks = [Mark(f"note:{at}", "1-2", "slur 9: 24 %" if at % 20 == 0 else None) for at in range(count)]
        marked = mark_file(data, marks, format="musicxml")
        put = best(lambda marks=marks: mark_file(data, marks, format="musicxml"))  # type: ignore[misc]
        cut = best(lambda marked=marked: unmark_file(marked, format="musicxml"))  # type: ignore[misc]
        print(
            f"{words} ({count} marks): on {put:.2f} s, {put / whole:.2f} × lxml; off {cut:.2f} s, {cut / whole:.2f} ×"
        )


if __name__ == "__main__":
    main()
