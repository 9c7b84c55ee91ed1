"""`slurwright exercises`: what to play so that a weak slur holds."""

from pathlib import Path
from typing import TYPE_CHECKING

import click
from click.core import ParameterSource

from slurwright.cli.options import horn_options, json_option, score_options
from slurwright.cli.values import Figure

if TYPE_CHECKING:
    from slurwright.horn import Horn
    from slurwright.jobs.exercise.made import ExerciseRequest, ExerciseSheet
    from slurwright.pitch import Reading
    from slurwright.plan.study import Study

__all__ = ["exercises"]

_SERVES = (
    ("paper", "pages"),
    ("drone", "sound"),
    ("a4", "sound"),
    ("line", "sound"),
    ("count_in_only", "sound"),
    ("minutes", "daily"),
)
"""Options that do nothing without another one."""


@click.command(
    epilog="""Examples:

\b
  slurwright exercises waltz.musicxml --horn euphonium-4c --dynamic pp --pages slurs.pdf
  slurwright exercises waltz.musicxml --horn euphonium-4c --at 6:3 --sound slur.wav --line
  slurwright exercises --daily --horn "old silver" --minutes 12 --pages today.pdf
""",
)
@click.argument("file", required=False, type=click.Path(path_type=Path))
@horn_options
@score_options
@click.option("--at", "places", multiple=True, metavar="WHERE", help="This slur, by the note it leads from: 12:3.")
@click.option("--most", type=click.IntRange(1, 20), metavar="N", help="At most N exercises a slur.")
@click.option("--daily", is_flag=True, help="The lip slurs of the day; needs no part.")
@click.option(
    "--minutes",
    type=Figure(1, 120),
    default=10.0,
    show_default=True,
    metavar="M",
    help="For --daily, rests included.",
)
@click.option("--range", "own_range", metavar="LOW..HIGH", help="The notes that you own, as you read them: F2..D4.")
@click.option("--seed", type=click.IntRange(0), metavar="N", help="The same number gives the same exercises.")
@click.option("--pages", type=click.Path(path_type=Path), metavar="OUT", help="Write engraved pages: .pdf or .svg.")
@click.option("--marked", type=click.Path(path_type=Path), metavar="OUT", help="Write notation: .musicxml.")
@click.option("--midi", type=click.Path(path_type=Path), metavar="OUT", help="Write a MIDI file: .mid.")
@click.option("--sound", type=click.Path(path_type=Path), metavar="OUT", help="Write clicks and a soft drone: .wav.")
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Sheet.")
@click.option("--drone", metavar="NOTE", help="This drone under everything, as you read it: Bb2.")
@click.option("--a4", type=float, default=440.0, show_default=True, metavar="HZ", help="To what the drone is tuned.")
@click.option("--count-in-only", is_flag=True, help="Click a measure before each, and not on through it.")
@click.option("--line", is_flag=True, help="Play the notes too, where each fingering lies on your horn.")
@json_option
@click.pass_context
def exercises(
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
    places: tuple[str, ...],
    most: int | None,
    daily: bool,
    minutes: float,
    own_range: str | None,
    seed: int | None,
    pages: Path | None,
    marked: Path | None,
    midi: Path | None,
    sound: Path | None,
    paper: str,
    drone: str | None,
    a4: float,
    count_in_only: bool,
    line: bool,
    as_json: bool,
) -> None:
    """Make exercises for the weak slurs of a part, from easy to hard, or the lip slurs of the day.

    FILE is a part, as for `slurwright part`. Without --at every weak slur gets its first exercises; with it, all of
    them. New ones every day; --seed brings some back.
    """
    from slurwright.cli.exercises_report import show_exercises  # noqa: PLC0415  heavy rooms wait until a job runs
    from slurwright.cli.keeping import found_for, player_of  # noqa: PLC0415
    from slurwright.cli.study_output import working  # noqa: PLC0415
    from slurwright.devices.clock import today  # noqa: PLC0415
    from slurwright.jobs.exercise.made import ExerciseRequest, pitch_from, range_from  # noqa: PLC0415
    from slurwright.jobs.readings import usual_reading  # noqa: PLC0415
    from slurwright.jobs.study import StudyRequest  # noqa: PLC0415
    from slurwright.wiring.exercises import ExerciseOutputs, write_exercises  # noqa: PLC0415
    from slurwright.wiring.part import study_file, study_typed  # noqa: PLC0415

    _refuse_contradictions(context, file, typed, daily=daily)
    found = found_for(horn_name, player=player, tuning=tuning, tendencies=tendencies)
    horn = found.horn
    study = None
    if not daily:
        asked = StudyRequest(
            part=part_name,
            voice=voice,
            reading=reading,
            written_for=written_for,
            dynamic=dynamic,
            tempo_qpm=tempo,
            pins=pins,
        )
        known = player_of(found)
        with working("reading and planning"):
            study = (
                study_file(file, horn, asked, player=known)
                if file is not None
                else study_typed(typed or "", horn, asked, player=known)
            ).study
    read = usual_reading(reading, horn) if study is None else study.reading
    request = ExerciseRequest(
        at=places,
        most=most,
        seed=today().toordinal() if seed is None else seed,
        own_range=None if own_range is None else range_from(own_range, horn, read),
    )
    outputs = ExerciseOutputs(
        pages,
        marked,
        midi,
        sound,
        paper=paper,
        drone=None if drone is None else pitch_from(drone, read),
        a4_hz=a4,
        line=line,
        count_in_only=count_in_only,
    )
    sheet = _made(study, horn, read, request, minutes)
    with working("writing"):
        written = write_exercises(sheet, outputs)
    show_exercises(sheet, study, outputs, written, as_json=as_json)


def _made(
    study: "Study | None", horn: "Horn", reading: "Reading", request: "ExerciseRequest", minutes: float
) -> "ExerciseSheet":
    from slurwright.wiring.exercises import daily_sheet, study_sheet  # noqa: PLC0415

    if study is None:
        return daily_sheet(horn, reading, request, minutes=minutes)
    return study_sheet(study, request)


def _refuse_contradictions(context: click.Context, file: Path | None, typed: str | None, *, daily: bool) -> None:
    """Refuse words that do not go together, and options that would do nothing."""
    if daily and (file is not None or typed is not None or context.params["places"]):
        raise click.UsageError("--daily needs no part: say either --daily or FILE", context)
    if not daily and (file is None) == (typed is None):
        raise click.UsageError("say FILE, --typed or --daily, one of the three", context)
    for name, needed in _SERVES:
        said = context.get_parameter_source(name) is ParameterSource.COMMANDLINE
        if said and not context.params[needed]:
            raise click.UsageError(f"--{name.replace('_', '-')} does nothing without --{needed}", context)
