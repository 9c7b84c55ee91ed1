"""`slurwright horns`: the instruments of the catalogue."""

import click

from slurwright.cli.options import json_option

__all__ = ["horns"]


@click.command()
@click.argument("words", nargs=-1, metavar="[WORD]...")
@json_option
def horns(words: tuple[str, ...], *, as_json: bool) -> None:
    """List the instruments, how each is read and how far it reaches.

    With WORDs, only those whose id or name contains them all: `slurwright horns tuba compensating`.
    """
    from slurwright.cli.answers import print_json  # noqa: PLC0415
    from slurwright.devices.packaged import horn_ids, load_horn  # noqa: PLC0415
    from slurwright.errors import HornError  # noqa: PLC0415

    found = [
        horn
        for horn in map(load_horn, horn_ids())
        if all(word.lower() in f"{horn.id} {horn.name}".lower() for word in words)
    ]
    if not found:
        raise HornError(
            "no instrument of the catalogue has these words", got=" ".join(words), allowed=", ".join(horn_ids())
        )
    if as_json:
        from slurwright.formats.study_json import horn_answer  # noqa: PLC0415

        print_json({"horns": [horn_answer(horn) for horn in found]})
        return
    from slurwright.cli.horn_report import print_horns  # noqa: PLC0415

    print_horns(found)
