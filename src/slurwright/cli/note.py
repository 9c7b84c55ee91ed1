"""`slurwright note`: every way of one note."""

import click

from slurwright.cli.options import horn_options, json_option

__all__ = ["note"]


@click.command(epilog="Example:  slurwright note F3 --horn euphonium-4c")
@click.argument("pitch")
@horn_options
@click.option("--reading", metavar="ID", help="PITCH is written in this reading; otherwise it is concert pitch.")
@json_option
def note(
    pitch: str,
    *,
    horn_name: str,
    player: str | None,
    tuning: str | None,
    tendencies: tuple[str, ...],
    reading: str | None,
    as_json: bool,
) -> None:
    """Show every fingering that sounds PITCH, how far out it is on this horn, and why.

    PITCH is a letter, b or # and an octave, C4 being middle C: Bb3, F#4.
    """
    from slurwright.cli.answers import print_json  # noqa: PLC0415
    from slurwright.cli.keeping import found_for, player_of  # noqa: PLC0415
    from slurwright.wiring.part import note_named  # noqa: PLC0415

    on = found_for(horn_name, player=player, tuning=tuning, tendencies=tendencies)
    found = note_named(pitch, on.horn, reading=reading, player=player_of(on))
    if as_json:
        from slurwright.formats.study_json import note_answer  # noqa: PLC0415

        print_json(note_answer(found.sounding, found.written, on.horn, found.ways, at_hand=found.at_hand))
        return
    from slurwright.cli.note_report import print_note  # noqa: PLC0415

    print_note(found.sounding, found.written, on.horn, found.ways, at_hand=found.at_hand)
