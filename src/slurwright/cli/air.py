"""`slurwright air`: what a cold hall or a hot field does to a horn."""

import click

from slurwright.cli.options import json_option, player_option
from slurwright.cli.values import Figure

__all__ = ["air"]


@click.command(epilog='Example:  slurwright air --celsius 12 --horn "old silver"')
@click.option("--celsius", type=Figure(-20, 50), required=True, metavar="T", help="Air in the horn.")
@click.option(
    "--tuned-at",
    type=Figure(-20, 50),
    default=20.0,
    show_default=True,
    metavar="T",
    help="Air in the horn when it was tuned.",
)
@click.option("--horn", "horn_name", metavar="NAME", help="Your own horn, or a model's id: for the main slide.")
@player_option
@json_option
def air(celsius: float, tuned_at: float, horn_name: str | None, player: str | None, *, as_json: bool) -> None:
    """Say how far the pitch drifts in other air, and how far the main slide has to go to meet it."""
    from slurwright.cli.keeping import horn_for  # noqa: PLC0415
    from slurwright.jobs.air import air_on  # noqa: PLC0415

    horn = None if horn_name is None else horn_for(horn_name, player=player)
    answer = air_on(celsius, tuned_at_c=tuned_at, horn=horn)
    if as_json:
        from slurwright.cli.answers import print_json  # noqa: PLC0415
        from slurwright.jobs.own_answers import air_answer  # noqa: PLC0415

        print_json(air_answer(answer))
        return
    from slurwright.cli.air_report import print_air  # noqa: PLC0415

    print_air(answer)
