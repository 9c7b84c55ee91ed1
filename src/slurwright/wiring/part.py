"""A part from its file to its outputs.

What draws and writes is imported where it is used: a report alone does not wait for the engraver's rooms.
"""

from dataclasses import dataclass
from pathlib import Path

from slurwright.devices.files import ending_faults, read_file, write_files
from slurwright.devices.notation import abc_to_musicxml, humdrum_to_mei
from slurwright.devices.packaged import load_chances, load_familiarity
from slurwright.errors import RequestError
from slurwright.formats.scorefile import choose_heading
from slurwright.formats.sniff import open_score
from slurwright.horn import Horn
from slurwright.jobs.known_player import KnownPlayer
from slurwright.jobs.note import NoteWays, ways_of_note
from slurwright.jobs.study import StudyRequest, study_part
from slurwright.plan.known import Known
from slurwright.plan.study import LearntFrom, Study

__all__ = [
    "Outputs",
    "StudiedFile",
    "note_named",
    "numbered_files",
    "study_file",
    "study_score",
    "study_typed",
    "unmark_path",
    "write_outputs",
]


@dataclass(frozen=True, slots=True)
class StudiedFile:
    """A studied part together with the file that it came from."""

    name: str
    data: bytes
    notation: str
    """The file's format as its reader names it."""
    study: Study


def study_score(
    data: bytes,
    name: str,
    horn: Horn,
    request: StudyRequest,
    *,
    known: Known | None = None,
    learnt_from: LearntFrom | None = None,
) -> StudiedFile:
    """Read a part out of a file's bytes and study it.

    Args:
        data: the file.
        name: what to call it in messages; its ending helps to tell the format.
        horn: the player's horn.
        request: what the player asks.
        known: what is known of the player beyond the priors; None leaves these.
        learnt_from: what that is learnt from; None where it is not said.
    """
    score = open_score(data, name=name, to_mei=humdrum_to_mei, to_musicxml=abc_to_musicxml)
    part = score.part(choose_heading(score.headings, request.part), voice=request.voice)
    study = study_part(
        part,
        horn,
        request,
        chances=load_chances(),
        familiarity=load_familiarity(),
        known=known,
        learnt_from=learnt_from,
    )
    return StudiedFile(name, data, score.format, study)


def study_file(path: Path, horn: Horn, request: StudyRequest, *, player: KnownPlayer | None = None) -> StudiedFile:
    """Read a file and study a part of it.

    Args:
        path: the notation file.
        horn: the player's horn.
        request: what the player asks.
        player: what is known of them on this horn; None leaves the priors.
    """
    return _study_for(read_file(path), path.name, horn, request, player)


def study_typed(text: str, horn: Horn, request: StudyRequest, *, player: KnownPlayer | None = None) -> StudiedFile:
    """Study a passage that was typed in ABC notation.

    Args:
        text: ABC notation; a missing header is supplied.
        horn: the player's horn.
        request: what the player asks.
        player: what is known of them on this horn; None leaves the priors.
    """
    return _study_for(text.encode(), "typed.abc", horn, request, player)


def _study_for(data: bytes, name: str, horn: Horn, request: StudyRequest, player: KnownPlayer | None) -> StudiedFile:
    if player is None:
        return study_score(data, name, horn, request)
    return study_score(data, name, horn, request, known=player.known, learnt_from=player.learnt_from)


def note_named(name: str, horn: Horn, *, reading: str | None, player: KnownPlayer | None = None) -> NoteWays:
    """Find every way of a note.

    Args:
        name: its ASCII name, at concert pitch unless a reading is given.
        horn: the player's horn.
        reading: id of the reading in which the name is written.
        player: what is known of them on this horn; None leaves the priors.
    """
    return ways_of_note(
        name,
        horn,
        familiarity=load_familiarity(),
        reading=reading,
        chances=None if player is None else load_chances(),
        known=None if player is None else player.known,
    )


@dataclass(frozen=True, slots=True)
class Outputs:
    """Files that the player wants, None for those that they do not."""

    marked: Path | None = None
    pages: Path | None = None
    ladder: Path | None = None
    paper: str = "a4"
    fingerings: str = "all"
    keep_existing: bool = True

    def __post_init__(self) -> None:
        """Refuse endings that say nothing before any work is done."""
        faults = ending_faults((("pages", self.pages, (".pdf", ".svg")), ("a ladder", self.ladder, (".svg",))))
        if faults:
            raise RequestError(faults=faults)


def write_outputs(studied: StudiedFile, outputs: Outputs) -> tuple[Path, ...]:
    """Write the wanted files, all of them or none.

    Args:
        studied: the studied part.
        outputs: what to write where.

    Returns:
        What was written, in order.

    Raises:
        RequestError: the part cannot be found again in its file, or the disk refuses.
        EngravingError: pages could not be drawn.
    """
    contents: dict[Path, bytes] = {}
    if outputs.marked is not None:
        contents[outputs.marked] = _marked(studied, outputs)
    if outputs.ladder is not None:
        contents.update(_ladder(studied.study, outputs.ladder))
    if outputs.pages is not None:
        contents.update(_pages(studied.study, outputs.pages, outputs))
    write_files(contents)
    return tuple(contents)


def _marked(studied: StudiedFile, outputs: Outputs) -> bytes:
    from slurwright.formats.pages.request import RowStyle  # noqa: PLC0415
    from slurwright.jobs.marking import marked_file  # noqa: PLC0415

    return marked_file(
        studied.data,
        studied.study,
        notation=studied.notation,
        row_style=RowStyle(outputs.fingerings),
        keep_existing=outputs.keep_existing,
        where=studied.name,
    )


def _ladder(study: Study, out: Path) -> dict[Path, bytes]:
    from slurwright.jobs.pages import ladder_drawings  # noqa: PLC0415

    return numbered_files(out, tuple(picture.svg for picture in ladder_drawings(study)))


def _pages(study: Study, out: Path, outputs: Outputs) -> dict[Path, bytes]:
    from slurwright.devices.engraver import engrave_pdf, engrave_svg  # noqa: PLC0415
    from slurwright.formats.pages.request import Paper, RowStyle  # noqa: PLC0415
    from slurwright.jobs.pages import ladder_drawings, page_request  # noqa: PLC0415

    paper, row_style = Paper(outputs.paper), RowStyle(outputs.fingerings)
    if out.suffix.lower() == ".svg":
        return numbered_files(out, engrave_svg(page_request(study, paper=paper, row_style=row_style)))
    pictures = ladder_drawings(study, telling=True)
    return {out: engrave_pdf(page_request(study, paper=paper, row_style=row_style, pictures=pictures))}


def numbered_files(out: Path, drawings: tuple[str, ...]) -> dict[Path, bytes]:
    """Name a file for each drawing: the name itself for one, with numbers for several.

    Args:
        out: the name.
        drawings: SVG.
    """
    if len(drawings) == 1:
        return {out: drawings[0].encode()}
    return {
        out.with_stem(f"{out.stem}-{number}"): drawing.encode() for number, drawing in enumerate(drawings, start=1)
    }


def unmark_path(source: Path, out: Path) -> None:
    """Write a file without our marks.

    Args:
        source: the marked file.
        out: where to write; may be the same.
    """
    from slurwright.formats.marks import unmark_file  # noqa: PLC0415

    data = read_file(source)
    notation = open_score(data, name=source.name, to_mei=humdrum_to_mei, to_musicxml=abc_to_musicxml).format
    write_files({out: unmark_file(data, format=notation, where=source.name)})
