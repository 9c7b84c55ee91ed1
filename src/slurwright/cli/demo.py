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
def demo(into: Path, paper: str) -> None:
    """Do the whole job on a demo part: an invented tune for an invented band, on a compensating euphonium.

    The part is planned and given back marked; then a made-up take of it is measured, in which one of each thing goes
    wrong.
    """
    from slurwright.cli.progress import progressing  # noqa: PLC0415
    from slurwright.cli.study_output import show_study, working  # noqa: PLC0415
    from slurwright.cli.take_output import show_measured  # noqa: PLC0415
    from slurwright.devices.packaged import demo_part, load_horn  # noqa: PLC0415
    from slurwright.jobs.study import StudyRequest  # noqa: PLC0415
    from slurwright.jobs.take import TakeRequest  # noqa: PLC0415
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
