"""`slurwright trial` for trials that are kept: show, list, take back, end, put away, bring back."""

import click

from slurwright.cli.options import json_option, player_option, yes_option

__all__ = ["KEPT_TRIALS"]


@click.command()
@click.argument("trial_id", metavar="TRIAL")
@json_option
def show(trial_id: str, *, as_json: bool) -> None:
    """Show how a TRIAL stands: which way is likeliest the best, by how much, and how sure that is."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.wiring.trials import horn_name_of, open_trial  # noqa: PLC0415

    with keeping() as store:
        running = open_trial(store, trial_id)
        horn = horn_name_of(store, running)
    if as_json:
        from slurwright.cli.answers import print_json  # noqa: PLC0415
        from slurwright.jobs.trial.answers import trial_answer  # noqa: PLC0415

        print_json(trial_answer(running, horn=horn))
        return
    from slurwright.cli.trial_report import print_trial  # noqa: PLC0415

    print_trial(running, horn=horn)


@click.command("list")
@player_option
@click.option("--removed", is_flag=True, help="Those that were put away.")
@json_option
def list_trials(*, player: str | None, removed: bool, as_json: bool) -> None:
    """List the trials, in the order in which they were begun."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.jobs.own_horn import player_for  # noqa: PLC0415
    from slurwright.wiring.trials import trials_kept  # noqa: PLC0415

    with keeping() as store:
        owner = player_for(store, player)
        found = trials_kept(store, owner.id, deleted=removed)
        names = {one.id: one.name for one in (*store.horns(owner.id, deleted=True), *store.horns(owner.id))}
    if as_json:
        from slurwright.cli.answers import print_json  # noqa: PLC0415
        from slurwright.jobs.trial.answers import trials_answer  # noqa: PLC0415

        print_json(trials_answer(found, names))
        return
    from slurwright.cli.trial_report import print_trials  # noqa: PLC0415

    print_trials(found, names)


@click.command()
@click.argument("trial_id", metavar="TRIAL")
@click.argument("count", type=click.IntRange(1), default=1, metavar="[N]")
def unlog(trial_id: str, count: int) -> None:
    """Take back the last N tries that were logged by ear in a TRIAL; one if nothing is said."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.wiring.trials import open_trial, unlog_tries  # noqa: PLC0415

    with keeping() as store:
        running = unlog_tries(store, open_trial(store, trial_id), count)
    click.echo(f"taken back: {count} tr{'y' if count == 1 else 'ies'} of trial {running.short}")
    click.echo(f"Next: slurwright trial next {running.short}")


@click.command()
@click.argument("trial_id", metavar="TRIAL")
def end(trial_id: str) -> None:
    """End a TRIAL: nothing more can be logged; what it says stays."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.devices.clock import now  # noqa: PLC0415

    with keeping() as store:
        kept = store.trial_of(trial_id)
        if kept.ended_at is None:
            kept = store.end_trial(kept.id, now=now())
    click.echo(f"ended: trial {kept.id[:8]}")
    click.echo(f"Undo: slurwright trial reopen {kept.id[:8]}")


@click.command()
@click.argument("trial_id", metavar="TRIAL")
def reopen(trial_id: str) -> None:
    """Go on with a TRIAL that was ended."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.devices.clock import now  # noqa: PLC0415

    with keeping() as store:
        kept = store.trial_of(trial_id)
        if kept.ended_at is not None:
            kept = store.reopen_trial(kept.id, now=now())
    click.echo(f"going on: trial {kept.id[:8]}")


@click.command()
@click.argument("trial_id", metavar="TRIAL")
@yes_option
def remove(trial_id: str, *, yes: bool) -> None:
    """Put a TRIAL away; its tries and takes stay, and `slurwright trial restore` brings it back."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.devices.clock import now  # noqa: PLC0415

    with keeping() as store:
        kept = store.trial_of(trial_id)
        if not yes:
            click.confirm(f"Put away trial {kept.id[:8]} of {kept.made_at.date().isoformat()}?", abort=True)
        store.delete_trial(kept.id, now=now())
    click.echo(f"put away: trial {kept.id[:8]}")
    click.echo(f"Undo: slurwright trial restore {kept.id[:8]}")


@click.command()
@click.argument("trial_id", metavar="TRIAL")
def restore(trial_id: str) -> None:
    """Bring back a TRIAL that was put away."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.devices.clock import now  # noqa: PLC0415

    with keeping() as store:
        kept = store.trial_of(trial_id, deleted=True)
        store.undelete_trial(kept.id, now=now())
    click.echo(f"back: trial {kept.id[:8]}")


KEPT_TRIALS = (show, list_trials, unlog, end, reopen, remove, restore)
"""The commands, as `slurwright trial` lists them."""
