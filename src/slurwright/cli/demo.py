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
    help="Folder for the marked file, the pages and the ladder.",
)
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Sheet.")
def demo(into: Path, paper: str) -> None:
    """Do the whole job on a demo part: an invented tune for an invented band, on a compensating euphonium."""
    from slurwright.cli.study_output import show_study, working  # noqa: PLC0415
    from slurwright.devices.packaged import demo_part, load_horn  # noqa: PLC0415
    from slurwright.jobs.study import StudyRequest  # noqa: PLC0415
    from slurwright.wiring.part import Outputs, study_score, write_outputs  # noqa: PLC0415

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
