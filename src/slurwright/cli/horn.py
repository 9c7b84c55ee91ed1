"""`slurwright horn`: the horns that a player owns, and what is known of each."""

from pathlib import Path

import click

from slurwright.cli.options import json_option, player_option, reading_option, yes_option

__all__ = ["horn"]

_WAYS = click.Choice(["usual", "every"])
_WAYS_HELP = "Normal ways, usual alternates and what was measured; or every way."


@click.group(
    epilog="""Example:

\b
  slurwright horn add "old silver" --model euphonium-4c
  slurwright horn next "old silver"
  slurwright tone add "old silver" "Bb3 0 +4" "F3 4 -12"
  slurwright part waltz.musicxml --horn "old silver"
"""
)
def horn() -> None:
    """Keep your own horn: a model of the catalogue and every tone that you measure on it."""


@horn.command()
@click.argument("name")
@click.option("--model", required=True, metavar="ID", help="What it is, one of `slurwright horns`.")
@click.option("--player", metavar="NAME", help="Whose; a new name adds a player.")
@click.option("--tuning", metavar="SCHEME", help="How its valve slides are set, as for `slurwright part`.")
def add(name: str, model: str, player: str | None, tuning: str | None) -> None:
    """Add a horn under a NAME of your own.

    A horn whose slides you set otherwise for good is another horn here: what was measured before no longer holds.
    """
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.devices.clock import now  # noqa: PLC0415
    from slurwright.devices.packaged import load_horn  # noqa: PLC0415
    from slurwright.jobs.own_horn import add_own_horn  # noqa: PLC0415

    with keeping() as store:
        known = {one.id for one in store.players()}
        owned = add_own_horn(store, name, model=model, catalogue=load_horn, tuning=tuning, player=player, now=now())
        owner = next(one for one in store.players() if one.id == owned.player_id)
    if owner.id not in known:
        click.echo(f"player added: {owner.name}")
    click.echo(f"horn added: {owned.name} of {owner.name}, a {owned.model}")
    click.echo(f"Next: slurwright horn next {_quoted(owned.name)}   says which notes to measure first.")


@horn.command("list")
@click.option("--player", metavar="NAME", help="Only this player's.")
@json_option
def list_horns(player: str | None, *, as_json: bool) -> None:
    """List the horns, whose they are, and how much was measured on each."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.jobs.own_horn import overview_of  # noqa: PLC0415

    with keeping() as store:
        found = overview_of(store, player=player)
    if as_json:
        from slurwright.cli.answers import print_json  # noqa: PLC0415
        from slurwright.jobs.own_answers import horns_answer  # noqa: PLC0415

        print_json(horns_answer(found))
        return
    from slurwright.cli.own_horn_report import print_own_horns  # noqa: PLC0415

    print_own_horns(found)


@horn.command()
@click.argument("name")
@player_option
@reading_option
@click.option("--ways", type=_WAYS, default="usual", show_default=True, help=_WAYS_HELP)
@json_option
def show(name: str, *, player: str | None, reading: str | None, ways: str, as_json: bool) -> None:
    """Show where every note sits on a horn, how well that is known, and from what."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.jobs.readings import usual_reading  # noqa: PLC0415
    from slurwright.wiring.own_horn import show_horn  # noqa: PLC0415

    with keeping() as store:
        shown = show_horn(store, name, player=player)
    read = usual_reading(reading, shown.horn)
    if as_json:
        from slurwright.cli.answers import print_json  # noqa: PLC0415
        from slurwright.formats.own_horn_json import chart_answer  # noqa: PLC0415

        print_json(chart_answer(shown.own.owned, shown.horn, shown.notes, reading=read))
        return
    from slurwright.cli.own_horn_report import print_chart  # noqa: PLC0415

    print_chart(shown, read, every=ways == "every")


@horn.command()
@click.argument("name")
@click.argument("out", type=click.Path(path_type=Path))
@player_option
@reading_option
@click.option("--ways", type=_WAYS, default="every", show_default=True, help=_WAYS_HELP)
@click.option(
    "--paper",
    type=click.Choice(["a4", "a5", "letter"]),
    default="a4",
    show_default=True,
    help="Sheet; a5 for a case.",
)
def chart(name: str, out: Path, *, player: str | None, reading: str | None, ways: str, paper: str) -> None:
    """Draw the chart of a horn into OUT (.svg or .pdf): every note, where each way sits, how well that is known."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.jobs.readings import usual_reading  # noqa: PLC0415
    from slurwright.wiring.own_horn import check_chart_name, show_horn, write_chart  # noqa: PLC0415

    check_chart_name(out)
    with keeping() as store:
        shown = show_horn(store, name, player=player)
    read = usual_reading(reading, shown.horn)
    for path in write_chart(shown, out, reading=read, paper=paper, every=ways == "every"):
        click.echo(f"written: {path}", err=True)


@horn.command("next")
@click.argument("name")
@click.option("--for", "files", multiple=True, type=click.Path(path_type=Path), metavar="FILE", help="For this part.")
@click.option("--count", type=click.IntRange(1, 24), default=6, show_default=True, help="How many notes.")
@player_option
@reading_option
@json_option
def next_notes(
    name: str, *, files: tuple[Path, ...], count: int, player: str | None, reading: str | None, as_json: bool
) -> None:
    """Say which few notes to measure next, and by how much each narrows what is not known.

    With --for (as often as you like) they are chosen for the notes of your parts, otherwise for the whole
    comfortable range.
    """
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.devices.packaged import load_horn  # noqa: PLC0415
    from slurwright.jobs.own_horn import own_horn  # noqa: PLC0415
    from slurwright.jobs.readings import usual_reading  # noqa: PLC0415
    from slurwright.wiring.own_horn import advise_next  # noqa: PLC0415

    with keeping() as store:
        own = own_horn(store, name, player=player, catalogue=load_horn)
    read = usual_reading(reading, own.model)
    advice = advise_next(own, files, count=count)
    if as_json:
        from slurwright.cli.answers import print_json  # noqa: PLC0415
        from slurwright.formats.own_horn_json import advice_answer  # noqa: PLC0415

        print_json(advice_answer(own.owned, advice, reading=read))
        return
    from slurwright.cli.own_horn_report import print_advice  # noqa: PLC0415

    print_advice(own, advice, read)


@horn.command()
@click.argument("name")
@player_option
@yes_option
def remove(name: str, player: str | None, *, yes: bool) -> None:
    """Put a horn and its tones away; `slurwright horn restore` brings them back."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.devices.clock import now  # noqa: PLC0415
    from slurwright.jobs.own_horn import player_for  # noqa: PLC0415
    from slurwright.jobs.words import tones_text  # noqa: PLC0415

    with keeping() as store:
        owned = store.horn_named(player_for(store, player).id, name)
        count = len(store.readings_of(owned.id))
        if not yes:
            click.confirm(f"Put away {owned.name} with its {tones_text(count)}?", abort=True)
        store.delete_horn(owned.id, now=now())
    click.echo(f"put away: {owned.name}")
    click.echo(f"Undo: slurwright horn restore {_quoted(owned.name)}")


@horn.command()
@click.argument("name")
@player_option
def restore(name: str, player: str | None) -> None:
    """Bring back a horn that was put away."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.devices.clock import now  # noqa: PLC0415
    from slurwright.jobs.own_horn import player_for  # noqa: PLC0415
    from slurwright.jobs.words import tones_text  # noqa: PLC0415

    with keeping() as store:
        owned = store.horn_named(player_for(store, player).id, name, deleted=True)
        store.undelete_horn(owned.id, now=now())
        count = len(store.readings_of(owned.id))
    click.echo(f"back: {owned.name} with {tones_text(count)}")


def _quoted(name: str) -> str:
    import shlex  # noqa: PLC0415

    return shlex.quote(name)
