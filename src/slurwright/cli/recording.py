"""`slurwright take record`: from the microphone into a file."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from slurwright.cli.options import json_option
from slurwright.cli.values import Figure

if TYPE_CHECKING:
    from slurwright.devices.microphone import Meter

__all__ = ["RECORDING"]

_LONGEST_S = 7200.0
"""Nobody practises a passage for longer without a rest [s]."""
_METER_CELLS = 30
_METER_FROM_DB = -60.0


@click.command()
@click.argument("out", type=click.Path(path_type=Path))
@click.option("--seconds", type=Figure(1, _LONGEST_S), metavar="S", help="Stop by itself after so long.")
@click.option("--input", "wanted", metavar="NAME", help="Which microphone: its number, or a part of its name.")
def record(out: Path, *, seconds: float | None, wanted: str | None) -> None:
    """Record from the microphone into OUT (.wav), until Enter is pressed.

    The file is whole at every moment: whatever happens, what was played so far is there. Needs the extra
    `microphone`.
    """
    from slurwright.devices.keyboard import enter_was_pressed  # noqa: PLC0415  a sound card only where it is needed
    from slurwright.devices.microphone import record as record_into  # noqa: PLC0415
    from slurwright.devices.sound_card import listening  # noqa: PLC0415
    from slurwright.errors import RequestError  # noqa: PLC0415

    if out.suffix.lower() != ".wav":
        raise RequestError("a recording cannot be written as this", got=out.name, allowed="a name ending .wav")
    until = "Ctrl-C" if not sys.stdin.isatty() else "Enter"
    click.echo(f"Recording; {until} stops." if seconds is None else f"Recording for {seconds:g} s.", err=True)
    with _meter() as meter:
        done = record_into(listening(wanted), out, most_s=seconds or _LONGEST_S, stop=enter_was_pressed, meter=meter)
    for notice in done.notices:
        click.echo(f"note: {notice}", err=True)
    click.echo(f"written: {done.path}, {done.length_s:.1f} s", err=True)


@click.command()
@json_option
def inputs(*, as_json: bool) -> None:
    """List the microphones of this machine."""
    from slurwright.devices.sound_card import microphones  # noqa: PLC0415

    found = microphones()
    if as_json:
        from slurwright.cli.answers import print_json  # noqa: PLC0415

        print_json(
            {
                "inputs": [
                    {"number": one.number, "name": one.name, "rate_hz": one.rate_hz, "usual": one.usual}
                    for one in found
                ]
            }
        )
        return
    for one in found:
        click.echo(f"{one.number:>3}  {one.name}{'  (usual)' if one.usual else ''}")
    if not found:
        click.echo("No microphone was found.")


RECORDING = (record, inputs)
"""The commands, as `slurwright take` lists them."""


@contextmanager
def _meter() -> "Iterator[Callable[[Meter], object]]":
    """Show how loud it is, on the terminal, if anyone is looking."""
    if not sys.stderr.isatty():
        yield lambda _meter: None
        return

    def show(meter: "Meter") -> None:
        share = min(1.0, max(0.0, 1.0 - meter.peak_db / _METER_FROM_DB))
        bar = "=" * round(_METER_CELLS * share)
        words = "TOO LOUD" if meter.full else f"{meter.peak_db:4.0f} dB "
        click.echo(f"\r{meter.elapsed_s:6.1f} s  [{bar:<{_METER_CELLS}}] {words}", err=True, nl=False)

    yield show
    click.echo(err=True)
