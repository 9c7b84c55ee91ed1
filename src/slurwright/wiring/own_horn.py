"""A player's own horn: what was measured on it, what was learnt, and what to measure next."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from slurwright.devices.clock import now
from slurwright.devices.files import ending_faults, read_file, write_files
from slurwright.devices.packaged import load_familiarity, load_horn, load_priors
from slurwright.errors import RequestError
from slurwright.formats.tones_csv import read_tones
from slurwright.horn import Horn
from slurwright.horn.learnt.advise import Advice
from slurwright.horn.learnt.learn import LearntHorn
from slurwright.horn.owned import KeptReading
from slurwright.jobs.next_tones import next_tones
from slurwright.jobs.own_horn import OwnHorn, known_horn, learnt_of, own_horn
from slurwright.jobs.ports import Keeping
from slurwright.jobs.pulls import PullsAnswer, pulls_for
from slurwright.jobs.study import StudyRequest
from slurwright.jobs.tones import Conditions, tones_of_table, tones_of_words
from slurwright.pitch import Reading
from slurwright.plan.charted import ChartedNote, charted
from slurwright.plan.study import Study
from slurwright.wiring.part import numbered_files, study_file

__all__ = [
    "ShownHorn",
    "add_tones",
    "advise_next",
    "check_chart_name",
    "set_slides",
    "show_horn",
    "write_chart",
]


@dataclass(frozen=True, slots=True, eq=False)
class ShownHorn:
    """A player's horn with all that is known of it."""

    own: OwnHorn
    learnt: LearntHorn
    horn: Horn
    notes: tuple[ChartedNote, ...]
    """Lowest first."""


def show_horn(kept: Keeping, name: str, *, player: str | None) -> ShownHorn:
    """Say where every way of a player's horn sits.

    Args:
        kept: what players keep.
        name: of the horn.
        player: whose; None for the only player.
    """
    own = own_horn(kept, name, player=player, catalogue=load_horn)
    learnt = learnt_of(own, load_priors())
    horn = known_horn(own, learnt)
    return ShownHorn(own, learnt, horn, charted(learnt, horn, familiarity=load_familiarity()))


def check_chart_name(out: Path) -> None:
    """Refuse an ending that says nothing, before any work is done.

    Raises:
        RequestError: the file would be neither SVG nor PDF.
    """
    faults = ending_faults((("a chart", out, (".svg", ".pdf")),))
    if faults:
        raise RequestError(faults=faults)


def write_chart(shown: ShownHorn, out: Path, *, reading: Reading, paper: str, every: bool) -> tuple[Path, ...]:
    """Draw the chart of a horn into a file; SVG has a file for each sheet.

    Args:
        shown: the horn.
        out: where to.
        reading: how the player reads.
        paper: the sheet.
        every: every way; otherwise the usual ones and what was measured.

    Returns:
        What was written.
    """
    from slurwright.formats.chart_sheets import Sheet  # noqa: PLC0415  what draws waits until it is asked for
    from slurwright.jobs.horn_chart import chart_drawings, usual_ways  # noqa: PLC0415

    notes = shown.notes if every else usual_ways(shown.notes, shown.horn)
    drawings = chart_drawings(shown.own, shown.horn, notes, reading=reading, sheet=Sheet(paper))
    if out.suffix.lower() == ".svg":
        contents = numbered_files(out, drawings)
    else:
        from slurwright.devices.sheet_setter import set_sheets  # noqa: PLC0415

        contents = {out: set_sheets(drawings, title=shown.own.owned.name, sheet=Sheet(paper))}
    write_files(contents)
    return tuple(contents)


def add_tones(
    kept: Keeping, own: OwnHorn, told: Sequence[str], *, table: Path | None, conditions: Conditions
) -> tuple[KeptReading, ...]:
    """Keep tones that were typed or stand in a table, all of them or none.

    Args:
        kept: what players keep.
        own: the horn.
        told: each "pitch fingering cents".
        table: a CSV file; None for none.
        conditions: of the sitting.

    Raises:
        RequestError: one or more mean nothing on this horn; all faults at once.
        StoreError: they cannot be kept.
    """
    if table is None:
        played = tones_of_words(told, own.model, conditions)
    else:
        played = tones_of_table(read_tones(read_file(table), where=table.name), own.model, conditions)
    return kept.add_readings(own.owned.id, played, now=now())


def advise_next(own: OwnHorn, files: Sequence[Path], *, count: int) -> Advice:
    """Say which notes of a horn to measure next.

    Args:
        own: the horn.
        files: parts that it is to be known for; none for all of its comfortable range.
        count: how many [1].
    """
    learnt = learnt_of(own, load_priors())
    horn = known_horn(own, learnt)
    return next_tones(learnt, _studied(files, horn), count=count)


def set_slides(
    horn: Horn, files: Sequence[Path], *, aim: str, within_cents: float, held: frozenset[str]
) -> PullsAnswer:
    """Say where to set the slides of a horn.

    Args:
        horn: the horn as it is known.
        files: parts that it is to be set for; none for all of its comfortable range.
        aim: what "best in tune" is to mean.
        within_cents: how far out a note may be that counts as in tune [cents].
        held: names of slides that stay.
    """
    return pulls_for(horn, _studied(files, horn), aim=aim, within_cents=within_cents, held=held)


def _studied(files: Sequence[Path], horn: Horn) -> list[Study]:
    return [study_file(path, horn, StudyRequest(best=1)).study for path in files]
