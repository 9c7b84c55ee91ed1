"""`slurwright take`: recordings of a part, measured note by note and slur by slur."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from slurwright.cli.kept_takes import KEPT_TAKES
from slurwright.cli.options import add_tones_option, horn_options, json_option, score_options, tried_option
from slurwright.cli.recording import RECORDING
from slurwright.cli.values import DAY, Figure

if TYPE_CHECKING:
    from slurwright.jobs.own_horn import OwnHorn
    from slurwright.store import Store

__all__ = ["take"]


@click.group(
    epilog="""Examples:

\b
  slurwright take record monday.wav
  slurwright take measure monday.wav waltz.musicxml --horn euphonium-4c --bars 5-12 --page monday.pdf
  slurwright take measure monday.wav waltz.musicxml --horn "old silver" --keep sound --add-tones
  slurwright take list
"""
)
def take() -> None:
    """Measure recordings of a part: how far out each note is, what became of each slur, and why."""


@take.command()
@click.argument("recording", type=click.Path(path_type=Path))
@click.argument("file", required=False, type=click.Path(path_type=Path))
@horn_options
@score_options
@click.option("--bars", metavar="A-B", help="Only these printed bars were asked for; the whole part otherwise.")
@click.option("--a4", type=float, default=440.0, show_default=True, metavar="HZ", help="What you tuned to.")
@tried_option
@click.option("--page", type=click.Path(path_type=Path), metavar="OUT", help="Draw the take: .pdf or .svg.")
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Sheet.")
@click.option("--notes", type=click.Path(path_type=Path), metavar="OUT", help="Write the notes as a table: .csv.")
@click.option("--slurs", type=click.Path(path_type=Path), metavar="OUT", help="Write the slurs as a table: .csv.")
@click.option(
    "--keep",
    type=click.Choice(["nothing", "figures", "sound"]),
    help="What is kept of a take on a horn of your own: figures, or the sound too. Usually figures.",
)
@add_tones_option
@click.option("--celsius", type=Figure(-20, 50), metavar="T", help="Air in the room.")
@click.option("--on", type=DAY, metavar="DATE", help="When, as 2026-01-31; today otherwise.")
@click.option("--remark", default="", metavar="WORDS", help="What you want to remember about it.")
@json_option
@click.pass_context
def measure(
    context: click.Context,
    *,
    recording: Path,
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
    bars: str | None,
    a4: float,
    tried: tuple[str, ...],
    page: Path | None,
    paper: str,
    notes: Path | None,
    slurs: Path | None,
    keep: str | None,
    add_tones: bool,
    celsius: float | None,
    on: datetime | None,
    remark: str,
    as_json: bool,
) -> None:
    """Measure a RECORDING of the part in FILE.

    RECORDING is WAV, FLAC, OGG or MP3 (M4A and others with the extra `m4a`); FILE is notation as for
    `slurwright part`. Play alone, with the microphone within half a metre of the bell and any noise suppression of
    the phone off. Where you start, stop, go back or leave notes out is found out.
    """
    from slurwright.cli.keeping import found_for, player_of  # noqa: PLC0415  heavy rooms wait until a job runs
    from slurwright.cli.progressing import progressing  # noqa: PLC0415
    from slurwright.cli.study_output import working  # noqa: PLC0415
    from slurwright.cli.take_output import show_measured  # noqa: PLC0415
    from slurwright.devices.clock import today  # noqa: PLC0415
    from slurwright.jobs.study import StudyRequest  # noqa: PLC0415
    from slurwright.jobs.take.measure import TakeRequest  # noqa: PLC0415
    from slurwright.wiring.take import TakeOutputs, asked_part, measure_file, write_take  # noqa: PLC0415

    if (file is None) == (typed is None):
        raise click.UsageError("say either FILE or --typed, one of the two", context)
    played_on = on.date() if on else today()
    outputs = TakeOutputs(page, notes, slurs, paper=paper, played_on=played_on, remark=remark)
    asked = StudyRequest(
        part=part_name,
        voice=voice,
        reading=reading,
        written_for=written_for,
        dynamic=dynamic,
        tempo_qpm=tempo,
        pins=pins,
    )
    request = TakeRequest(bars=bars, a4_hz=a4, tried=tried)
    found = found_for(horn_name, player=player, tuning=tuning, tendencies=tendencies)
    known = player_of(found)
    with working("reading the part"):
        part = asked_part(file, typed, found.horn, asked, player=known)
    with _owned(horn_name, player, keep=keep, add_tones=add_tones) as owned, progressing("measuring") as tick:
        if owned is None:
            measured = measure_file(recording, part.study, request, tick=tick)
        else:
            from slurwright.wiring.kept_take import KeepWish, keep_and_measure  # noqa: PLC0415

            store, own = owned
            wish = KeepWish(
                own,
                played_on,
                dynamic=dynamic,
                tempo_qpm=tempo,
                sound=keep == "sound",
                tones=add_tones,
                celsius=celsius,
                remark=remark,
            )
            measured = keep_and_measure(store, recording, part, request, wish=wish, tick=tick)
    with working("drawing"):
        written = write_take(measured.taken, outputs)
    show_measured(measured, written, as_json=as_json)


@contextmanager
def _owned(
    name: str, player: str | None, *, keep: str | None, add_tones: bool
) -> "Iterator[tuple[Store, OwnHorn] | None]":
    """Open what players keep, where something of the take is to be kept there; None where nothing is."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.wiring.horns import kept_here  # noqa: PLC0415
    from slurwright.wiring.kept_take import owned_horn  # noqa: PLC0415

    if keep == "nothing" and add_tones:
        raise click.UsageError("--add-tones keeps something, and --keep nothing does not")
    if keep != "nothing" and kept_here():
        with keeping() as store:
            own = owned_horn(store, name, player=player)
            if own is not None:
                yield store, own
                return
    if add_tones or keep not in (None, "nothing"):
        raise click.UsageError(f"takes are kept on horns of your own; {name} is a model (`slurwright horn add`)")
    yield None


for _command in (*RECORDING, *KEPT_TAKES):
    take.add_command(_command)
