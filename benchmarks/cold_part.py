"""What a player waits for at the terminal: the command from its start to its end, and the drawings of a part.

The parts are the demo tune written out several times over: three times fill two pages, twenty-three times are about
1,400 notes. `prepare_*` functions give works for `benchmarks.common`.
"""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

__all__ = ["long_part"]

HORN = "euphonium-4c"
_NUMBER = re.compile(r'<measure number="(\d+)"')


def long_part(times: int) -> str:
    """Write the demo tune so many times in a row, as one MusicXML part."""
    from slurwright.devices.packaged import demo_part  # noqa: PLC0415

    text = demo_part()[1].decode()
    start, end = text.index("<measure "), text.index("</part>")
    tune = text[start:end]
    bars = len(_NUMBER.findall(tune)) - 1

    def turn(number: int) -> str:
        return _NUMBER.sub(lambda found: f'<measure number="{int(found[1]) + bars * number}"', tune)

    return text[:start] + "".join(turn(number) for number in range(times)) + text[end:]


def prepare_parts(folder: str) -> Callable[[], object]:
    """Write the parts that the others read."""

    def work() -> None:
        for name, times in (("two-pages", 3), ("long", 23)):
            (Path(folder) / f"{name}.musicxml").write_text(long_part(times), encoding="utf-8")

    return work


def prepare_study(path: str) -> Callable[[], object]:
    """Read and study a part: plans, every slur's risk, choices at the weak ones."""
    from slurwright.devices.packaged import load_chances, load_familiarity, load_horn  # noqa: PLC0415
    from slurwright.formats.musicxml import open_musicxml  # noqa: PLC0415
    from slurwright.jobs.study import StudyRequest, study_part  # noqa: PLC0415

    data, horn, chances, familiarity = Path(path).read_bytes(), load_horn(HORN), load_chances(), load_familiarity()

    def work() -> object:
        score = open_musicxml(data, where=path)
        part = score.part(score.headings[0])
        return study_part(part, horn, StudyRequest(), chances=chances, familiarity=familiarity)

    return work


def prepare_ladder(path: str) -> Callable[[], object]:
    """Draw the partial ladder of a part that has been studied."""
    from slurwright.jobs.pages import ladder_drawings  # noqa: PLC0415

    study: Any = prepare_study(path)()
    return lambda: ladder_drawings(study)


def prepare_music21(path: str) -> Callable[[], object]:
    """Parse a file with music21, without its store of parsed files."""
    from music21 import converter  # noqa: PLC0415

    return lambda: converter.parse(path, forceSource=True, storePickle=False)


def prepare_verovio(path: str) -> Callable[[], object]:
    """Draw all pages of a file with verovio."""
    import verovio  # noqa: PLC0415

    def work() -> list[str]:
        toolkit = verovio.toolkit()
        toolkit.setOptions({"pageWidth": 2100, "pageHeight": 2970, "scale": 40})
        assert toolkit.loadFile(path)
        return [toolkit.renderToSVG(page) for page in range(1, toolkit.getPageCount() + 1)]

    return work


def prepare_verovio_pdf(path: str) -> Callable[[], object]:
    """Draw all pages of a file with verovio and bind them with typst."""
    import typst  # noqa: PLC0415

    draw = prepare_verovio(path)
    folder = Path(path).with_suffix("")
    folder.mkdir(exist_ok=True)

    def work() -> object:
        pages = draw()
        assert isinstance(pages, list)
        names = [f"{number}.svg" for number, _ in enumerate(pages)]
        for name, page in zip(names, pages, strict=True):
            (folder / name).write_text(page, encoding="utf-8")
        source = '#set page(paper: "a4", margin: 0mm)\n' + "\n".join(
            f'#image("{name}", width: 100%)' for name in names
        )
        (folder / "pages.typ").write_text(source, encoding="utf-8")
        return typst.compile(folder / "pages.typ", format="pdf")

    return work
