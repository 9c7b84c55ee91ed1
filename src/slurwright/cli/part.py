"""`slurwright part`: the main job."""

from pathlib import Path

import click
from click.core import ParameterSource

from slurwright.cli.options import horn_options, json_option, score_options
from slurwright.cli.values import Figure

__all__ = ["part"]

_SERVES = (("paper", ("pages",)), ("fingerings", ("marked", "pages")), ("replace", ("marked",)))
"""Options of the files that are written, and the options by which these files are asked for."""


@click.command(
    epilog="""Examples:

\b
  slurwright part waltz.musicxml --horn euphonium-4c
  slurwright part score.mxl --part "2nd Cornet" --horn cornet-b --pages cornet2.pdf
  slurwright part waltz.musicxml --horn euphonium-4c --dynamic pp --pin 12:3=4 --ban 1-2-3
  slurwright part --typed "K:Bb clef=bass
  (F,2 B,2) | (B,2 F,2) |" --horn euphonium-4c
""",
)
@click.argument("file", required=False, type=click.Path(path_type=Path))
@horn_options
@score_options
@click.option("--ban", "bans", multiple=True, metavar="[WHERE=]FINGERING", help="Never this fingering (there).")
@click.option("--most-changes", type=click.IntRange(0), metavar="N", help="At most N notes off the normal fingering.")
@click.option("--best", type=click.IntRange(1, 50), default=3, show_default=True, help="How many plans to work out.")
@click.option("--smooth", type=Figure(0.05, 20), default=1.0, help="Weight of slurs that speak (1).")
@click.option("--in-tune", type=Figure(0.05, 20), default=1.0, help="Weight of tuning and evenness (1).")
@click.option("--familiar", type=Figure(0.05, 20), default=1.0, help="Weight of familiar fingers (1).")
@click.option("--techniques", is_flag=True, help="Let the plan itself use legato tongue and half-valve.")
@click.option("--each-time", is_flag=True, help="Let a repeated passage be fingered differently each time.")
@click.option("--weak-above", type=Figure(0, 100), metavar="%", help="Break risk that makes a slur weak.")
@click.option("--priors-only", is_flag=True, help="Plan without what is learnt from your attempts; say both.")
@click.option("--trade-offs", is_flag=True, help="Show the plans between smooth, in tune and familiar.")
@click.option("--marked", type=click.Path(path_type=Path), metavar="OUT", help="Write the same file, marked.")
@click.option("--pages", type=click.Path(path_type=Path), metavar="OUT", help="Write engraved pages: .pdf or .svg.")
@click.option("--ladder", type=click.Path(path_type=Path), metavar="OUT", help="Write the partial ladder: .svg.")
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Sheet.")
@click.option(
    "--fingerings",
    type=click.Choice(["all", "changes"]),
    default="all",
    show_default=True,
    help="Which notes are marked.",
)
@click.option("--replace", is_flag=True, help="In the marked file replace fingerings that stand there already.")
@json_option
@click.pass_context
def part(
    context: click.Context,
    *,
    file: Path | None,
    horn_name: str,
    player: str | None,
    tuning: str | None,
    tendencies: tuple[str, ...],
    typed: str | None,
    part_name: str | None,
    voice: str | None,
    written_for: str | None,
    reading: str | None,
    dynamic: str | None,
    tempo: float | None,
    pins: tuple[str, ...],
    bans: tuple[str, ...],
    most_changes: int | None,
    best: int,
    smooth: float,
    in_tune: float,
    familiar: float,
    weak_above: float | None,
    marked: Path | None,
    pages: Path | None,
    ladder: Path | None,
    paper: str,
    fingerings: str,
    techniques: bool,
    each_time: bool,
    priors_only: bool,
    trade_offs: bool,
    replace: bool,
    as_json: bool,
) -> None:
    """Study a part: every note's best way on your horn, every weak slur with its choices.

    FILE is MusicXML (.musicxml, .xml, .mxl), ABC, MEI, Humdrum or MIDI. Without further options the report is
    printed; --marked, --pages and --ladder write files as well.
    """
    from slurwright.cli.keeping import found_for, player_of, tell  # noqa: PLC0415  heavy rooms wait for a job
    from slurwright.cli.study_output import show_study, working  # noqa: PLC0415
    from slurwright.jobs.study import StudyRequest  # noqa: PLC0415
    from slurwright.plan import Weights  # noqa: PLC0415
    from slurwright.wiring.part import Outputs, study_file, study_typed, write_outputs  # noqa: PLC0415

    if (file is None) == (typed is None):
        raise click.UsageError("say either FILE or --typed, one of the two", context)
    _refuse_idle(context)
    request = StudyRequest(
        part=part_name,
        voice=voice,
        reading=reading,
        written_for=written_for,
        dynamic=dynamic,
        tempo_qpm=tempo,
        pins=pins,
        bans=bans,
        most_changes=most_changes,
        best=best,
        weights=Weights(smooth=smooth, in_tune=in_tune, familiar=familiar),
        techniques=techniques,
        each_time=each_time,
        risk_limit=None if weak_above is None else weak_above / 100,
        trade_offs=trade_offs,
        priors_only=priors_only,
    )
    outputs = Outputs(marked, pages, ladder, paper=paper, fingerings=fingerings, keep_existing=not replace)
    found = found_for(horn_name, player=player, tuning=tuning, tendencies=tendencies)
    known = player_of(found)
    if priors_only and known is None:
        tell("--priors-only changes nothing: there is nothing yet to learn from on this horn")
    with working("reading and planning"):
        studied = (
            study_file(file, found.horn, request, player=known)
            if file is not None
            else study_typed(typed or "", found.horn, request, player=known)
        )
    with working("drawing"):
        written = write_outputs(studied, outputs)
    show_study(studied, written, as_json=as_json)


def _refuse_idle(context: click.Context) -> None:
    """Refuse an option that would do nothing because no file that it is about is asked for."""
    for name, files in _SERVES:
        said = context.get_parameter_source(name) is ParameterSource.COMMANDLINE
        if said and all(context.params[file] is None for file in files):
            needs = " or ".join(f"--{file}" for file in files)
            raise click.UsageError(f"--{name} does nothing without {needs}", context)
