"""`slurwright take` for takes that are kept: list, show, measure again, put away, bring back."""

from pathlib import Path

import click

from slurwright.cli.options import (
    add_tones_option,
    json_option,
    pin_option,
    player_option,
    tried_option,
    which_part_options,
    yes_option,
)

__all__ = ["KEPT_TAKES"]


@click.command("list")
@click.option("--horn", "horn_name", metavar="NAME", help="Only takes on this horn of your own.")
@player_option
@click.option("--removed", is_flag=True, help="Those that were put away.")
@json_option
def list_takes(*, horn_name: str | None, player: str | None, removed: bool, as_json: bool) -> None:
    """List the takes that are kept, in the order in which they came."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.jobs.own_horn import player_for  # noqa: PLC0415

    with keeping() as store:
        owner = player_for(store, player)
        horn = store.horn_named(owner.id, horn_name) if horn_name is not None else None
        found = store.takes_of(owner.id, horn_id=horn.id if horn else None, deleted=removed)
        names = {one.id: one.name for one in store.horns(owner.id)}
        missing = {one.id for one in found if one.sound is not None and store.sound_of(one.id) is None}
    if as_json:
        from slurwright.cli.answers import print_json  # noqa: PLC0415
        from slurwright.jobs.kept_answers import takes_answer  # noqa: PLC0415

        print_json(takes_answer(found, names))
        return
    from slurwright.cli.kept_report import print_takes  # noqa: PLC0415

    print_takes(found, names, missing=missing)


@click.command()
@click.argument("take_id", metavar="TAKE")
@json_option
def show(take_id: str, *, as_json: bool) -> None:
    """Show what was measured in a TAKE that is kept; the beginning of its id is enough."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415

    with keeping() as store:
        kept = store.take_of(take_id)
        measures = store.measures_of(kept.id)
    if as_json:
        click.echo(measures.measures_json)
        return
    from slurwright.cli.kept_report import print_kept_take  # noqa: PLC0415

    print_kept_take(kept, measures)


@click.command()
@click.argument("take_id", metavar="TAKE")
@click.argument("file", type=click.Path(path_type=Path))
@which_part_options
@pin_option
@tried_option
@add_tones_option
@json_option
def again(
    *,
    take_id: str,
    file: Path,
    part_name: str | None,
    voice: str | None,
    written_for: str | None,
    pins: tuple[str, ...],
    tried: tuple[str, ...],
    add_tones: bool,
    as_json: bool,
) -> None:
    """Measure a TAKE whose recording is kept once more: after a crash, or with what was learnt since.

    FILE is its part. Bars, dynamic, tempo, tuning, fingerings and techniques are those of before; --pin and --tried
    replace the fingerings or the techniques, all of them.
    """
    from slurwright.cli.keeping import horn_for, keeping  # noqa: PLC0415
    from slurwright.cli.progressing import progressing  # noqa: PLC0415
    from slurwright.cli.take_output import show_measured  # noqa: PLC0415
    from slurwright.jobs.study import StudyRequest  # noqa: PLC0415
    from slurwright.wiring.kept_take import asked_again, measure_again, name_of_horn  # noqa: PLC0415

    with keeping() as store:
        kept = store.take_of(take_id)
        name, player = name_of_horn(store, kept)
        horn = horn_for(name, player=player)
        request = StudyRequest(part=part_name, voice=voice, written_for=written_for, pins=pins)
        part = asked_again(store, kept, file, horn, request)
        with progressing("measuring") as tick:
            measured = measure_again(store, kept, part, tried=tried, tones=add_tones, tick=tick)
    show_measured(measured, as_json=as_json)


@click.command()
@click.argument("take_id", metavar="TAKE")
@yes_option
def remove(take_id: str, *, yes: bool) -> None:
    """Put a TAKE away, with the tones that it gave; `slurwright take restore` brings it back."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.devices.clock import now  # noqa: PLC0415

    with keeping() as store:
        kept = store.take_of(take_id)
        if not yes:
            click.confirm(f"Put away the take of {kept.about.played_on} of {kept.about.part.file}?", abort=True)
        store.delete_take(kept.id, now=now())
    click.echo(f"put away: take {kept.id[:8]}")
    click.echo(f"Undo: slurwright take restore {kept.id[:8]}")


@click.command()
@click.argument("take_id", metavar="TAKE")
def restore(take_id: str) -> None:
    """Bring back a TAKE that was put away."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.devices.clock import now  # noqa: PLC0415

    with keeping() as store:
        kept = store.take_of(take_id, deleted=True)
        store.undelete_take(kept.id, now=now())
    click.echo(f"back: take {kept.id[:8]}")


@click.command("drop-sound")
@click.argument("take_id", metavar="TAKE")
@yes_option
def drop_sound(take_id: str, *, yes: bool) -> None:
    """Remove the recording of a TAKE for good; its figures stay."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.devices.clock import now  # noqa: PLC0415

    with keeping() as store:
        kept = store.take_of(take_id)
        if not yes:
            click.confirm("Remove the recording? It cannot be brought back or measured again.", abort=True)
        store.forget_sound(kept.id, now=now())
    click.echo(f"removed: the recording of take {kept.id[:8]}")


KEPT_TAKES = (list_takes, show, again, remove, restore, drop_sound)
"""The commands, as `slurwright take` lists them."""
