"""How a player got on: gathered from what is kept, drawn into files."""

from pathlib import Path

from slurwright.devices.clock import today
from slurwright.devices.files import ending_faults, place_faults, write_files
from slurwright.devices.packaged import load_beliefs, load_chances, load_horn, load_progress
from slurwright.errors import RequestError
from slurwright.jobs.own_horn import player_for
from slurwright.jobs.progress.gathered import ProgressAnswer, ProgressRequest, progress_for
from slurwright.store import Store

__all__ = ["check_pages_name", "horn_to_read_on", "progress_of_player", "write_progress"]


def check_pages_name(out: Path) -> None:
    """Refuse an ending that says nothing, or a folder that is not there, before any work is done.

    Raises:
        RequestError: the file would be neither SVG nor PDF, or cannot be written there.
    """
    faults = (*ending_faults((("pages", out, (".pdf", ".svg")),)), *place_faults((out,)))
    if faults:
        raise RequestError(faults=faults)


def horn_to_read_on(store: Store, name: str | None, *, player: str | None) -> str:
    """Say on which horn a part is to be read: the one that is named, or the player's only one.

    Args:
        store: what players keep.
        name: as typed; None where nothing was said.
        player: whose; None for the only player.

    Raises:
        RequestError: nothing was said, and the player has none or several.
    """
    if name is not None:
        return name
    names = [one.name for one in store.horns(player_for(store, player).id)]
    if len(names) != 1:
        allowed = f"--horn with one of: {', '.join(names)}" if names else "--horn with a model of slurwright horns"
        raise RequestError("on which horn the part is read is not said", allowed=allowed)
    return names[0]


def progress_of_player(store: Store, request: ProgressRequest) -> ProgressAnswer:
    """Say how a player got on.

    Args:
        store: what players keep.
        request: what is to be told of.

    Raises:
        StoreError: there is no such player or horn.
        RequestError: it is not clear which player is meant, or which slur.
    """
    return progress_for(
        store,
        request,
        catalogue=load_horn,
        chances=load_chances(),
        beliefs=load_beliefs(),
        table=load_progress(),
        today=today(),
    )


def write_progress(answer: ProgressAnswer, out: Path, *, paper: str) -> tuple[Path, ...]:
    """Draw a player's progress into a file; SVG has a file for each page.

    Args:
        answer: how the player got on.
        out: where to.
        paper: name of the sheet.

    Returns:
        What was written.

    Raises:
        EngravingError: the pages cannot be set, or that took more than it may.
    """
    from slurwright.formats.pages.request import Paper  # noqa: PLC0415  what draws waits until it is asked for
    from slurwright.jobs.progress.pages import progress_pages  # noqa: PLC0415

    pages = progress_pages(answer, paper=Paper(paper))
    if out.suffix.lower() == ".svg":
        from slurwright.wiring.part import numbered_files  # noqa: PLC0415

        contents = numbered_files(out, pages)
    else:
        from slurwright.devices.sheet_setter import set_sheets  # noqa: PLC0415
        from slurwright.formats.chart_sheets import Sheet  # noqa: PLC0415

        contents = {out: set_sheets(pages, title="Progress", sheet=Sheet(paper))}
    write_files(contents)
    return tuple(contents)
