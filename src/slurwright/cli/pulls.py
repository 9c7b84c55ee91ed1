"""`slurwright pulls`: where to set the slides with a ruler."""

from pathlib import Path

import click

from slurwright.cli.options import json_option, player_option, reading_option
from slurwright.cli.values import Figure

__all__ = ["pulls"]


@click.command(epilog='Example:  slurwright pulls "old silver" --for waltz.musicxml --aim worst')
@click.argument("horn")
@click.option("--for", "files", multiple=True, type=click.Path(path_type=Path), metavar="FILE", help="For this part.")
@click.option(
    "--aim",
    type=click.Choice(["least-squares", "worst", "within"]),
    default="least-squares",
    show_default=True,
    help="Least squares, the least worst note, or the most notes within --within.",
)
@click.option(
    "--within",
    type=Figure(0, 50, min_open=True),
    default=10.0,
    show_default=True,
    metavar="CENTS",
    help="So far out a note still counts as in tune.",
)
@click.option("--hold", "held", multiple=True, metavar="SLIDE", help="A slide that stays where it is, such as main.")
@player_option
@reading_option
@json_option
def pulls(
    horn: str,
    *,
    files: tuple[Path, ...],
    aim: str,
    within: float,
    held: tuple[str, ...],
    player: str | None,
    reading: str | None,
    as_json: bool,
) -> None:
    """Say how far to draw each slide of HORN so that your notes are best in tune, in whole steps of a ruler.

    HORN is your own horn or a model's id. With --for (as often as you like) the slides are set for the notes of your
    parts, each as long as it sounds; otherwise for the normal notes of the comfortable range.
    """
    from slurwright.cli.keeping import horn_for  # noqa: PLC0415
    from slurwright.jobs.readings import usual_reading  # noqa: PLC0415
    from slurwright.wiring.own_horn import set_slides  # noqa: PLC0415

    known = horn_for(horn, player=player)
    read = usual_reading(reading, known)
    answer = set_slides(known, files, aim=aim, within_cents=within, held=frozenset(held))
    if as_json:
        from slurwright.cli.answers import print_json  # noqa: PLC0415
        from slurwright.jobs.own_answers import pulls_answer  # noqa: PLC0415

        print_json(pulls_answer(answer, read))
        return
    from slurwright.cli.pulls_report import print_pulls  # noqa: PLC0415

    print_pulls(answer, read)
