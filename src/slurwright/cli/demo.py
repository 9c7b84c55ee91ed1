"""`slurwright demo`: the main job on an invented tune."""

from pathlib import Path

import click

__all__ = ["demo"]

_HORN = "euphonium-4c"


@click.command()
@click.option(
    "--into",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path("slurwright-demo"),
    show_default=True,
    help="Folder for the marked file, pages, ladder and take.",
)
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Sheet.")
@click.option(
    "--weeks",
    type=click.IntRange(1, 26),
    metavar="N",
    help="Go on: a made-up player practises so many weeks and is learnt from, and the part is planned anew.",
)
def demo(*, into: Path, paper: str, weeks: int | None) -> None:
    """Do the whole job on a demo part: an invented tune for an invented band, on a compensating euphonium.

    The part is planned and given back marked; then a made-up take of it is measured, in which one of each thing goes
    wrong. With --weeks the loop is closed: sheets and takes of a made-up player, whose true chances stand beside what
    is learnt of her. Nothing of it goes into what you keep.
    """
    from slurwright.cli.progressing import progressing  # noqa: PLC0415
    from slurwright.cli.study_output import show_study, working  # noqa: PLC0415
    from slurwright.cli.take_output import show_measured  # noqa: PLC0415
    from slurwright.devices.packaged import demo_part, load_horn  # noqa: PLC0415
    from slurwright.jobs.study import StudyRequest  # noqa: PLC0415
    from slurwright.jobs.take.measure import TakeRequest  # noqa: PLC0415
    from slurwright.wiring.demo import make_demo_take  # noqa: PLC0415
    from slurwright.wiring.part import Outputs, study_score, write_outputs  # noqa: PLC0415
    from slurwright.wiring.take import TakeOutputs, measure_file, write_take  # noqa: PLC0415

    name, data = demo_part()
    into.mkdir(parents=True, exist_ok=True)
    stem = Path(name).stem
    with working("reading and planning"):
        studied = study_score(data, name, load_horn(_HORN), StudyRequest())
    outputs = Outputs(
        into / f"{stem}-marked.musicxml", into / f"{stem}.pdf", into / f"{stem}-ladder.svg", paper=paper
    )
    with working("drawing"):
        written = write_outputs(studied, outputs)
    show_study(studied, written)
    recording = into / f"{stem}-take.wav"
    with working("playing"):
        part = make_demo_take(data, name, load_horn(_HORN), recording)
    with progressing("measuring") as tick:
        measured = measure_file(recording, part.study, TakeRequest(), tick=tick)
    with working("drawing"):
        pages = write_take(measured.taken, TakeOutputs(into / f"{stem}-take.pdf", paper=paper))
    click.echo()
    show_measured(measured, (recording, *pages))
    if weeks is not None:
        _live(name, data, into, weeks=weeks, paper=paper)


def _live(name: str, data: bytes, into: Path, *, weeks: int, paper: str) -> None:
    """Live through the weeks of the made-up player, and give the part back as it is planned then."""
    from slurwright.cli.demo_report import print_weeks  # noqa: PLC0415
    from slurwright.cli.progressing import progressing  # noqa: PLC0415
    from slurwright.cli.study_output import working  # noqa: PLC0415
    from slurwright.devices.clock import today  # noqa: PLC0415
    from slurwright.devices.packaged import load_horn  # noqa: PLC0415
    from slurwright.wiring.demo_weeks import live_weeks  # noqa: PLC0415
    from slurwright.wiring.part import Outputs, write_outputs  # noqa: PLC0415

    with progressing("living through the weeks") as tick:
        lived = live_weeks(data, name, load_horn(_HORN), weeks=weeks, until=today(), tick=tick)
    with working("drawing"):
        written = write_outputs(lived.after, Outputs(pages=into / f"{Path(name).stem}-learnt.pdf", paper=paper))
    click.echo()
    print_weeks(lived)
    for path in written:
        click.echo(f"written: {path}", err=True)
