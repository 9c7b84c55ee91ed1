"""`slurwright tried`: what became of slurs, logged by ear."""

from datetime import datetime
from pathlib import Path

import click

from slurwright.cli.options import horn_options, json_option, player_option, score_options
from slurwright.cli.values import DAY

__all__ = ["tried"]


@click.group(
    epilog="""Examples:

\b
  slurwright tried log waltz.musicxml 12:3 good good rough --horn "old silver"
  slurwright tried log waltz.musicxml 12:3 good=5 missed=2 --horn "old silver" --as half-valve --dynamic pp
  slurwright tried list
  slurwright tried withdraw 12-14
"""
)
def tried() -> None:
    """Log by ear what became of a slur, when nothing is recorded."""


@tried.command()
@click.argument("words", nargs=-1, required=True, metavar="[FILE] WHERE HEARD...")
@horn_options
@score_options
@click.option(
    "--as",
    "technique",
    type=click.Choice(["plain", "legato-tongue", "half-valve"]),
    help="How you played the slur; otherwise as the plan has it.",
)
@click.option("--on", type=DAY, metavar="DATE", help="When, as 2026-01-31; today otherwise.")
@json_option
def log(
    words: tuple[str, ...],
    *,
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
    technique: str | None,
    on: datetime | None,
    as_json: bool,
) -> None:
    """Log attempts at one slur of the part in FILE, in the order in which you made them.

    WHERE is the note that the slur leads from: 12:3 is bar 12, beat 3; F3 does where only one slur leads from that
    note. HEARD is good, rough (it came, but not cleanly) or missed, once for each attempt; good=5 counts five. You
    played the plan's fingerings unless --pin says otherwise. With --typed leave FILE out.
    """
    from slurwright.cli.keeping import found_for, keeping, player_of, tell  # noqa: PLC0415  heavy rooms wait
    from slurwright.cli.study_output import working  # noqa: PLC0415
    from slurwright.jobs.study import StudyRequest  # noqa: PLC0415
    from slurwright.plan import Technique  # noqa: PLC0415
    from slurwright.wiring.tried import LogWish, log_tries_by_ear  # noqa: PLC0415

    file, where, heard = _split(words, typed)
    request = StudyRequest(
        part=part_name,
        voice=voice,
        reading=reading,
        written_for=written_for,
        dynamic=dynamic,
        tempo_qpm=tempo,
        pins=pins,
    )
    found = found_for(horn_name, player=player, tuning=tuning, tendencies=tendencies)
    known = player_of(found)
    wish = LogWish(
        where,
        heard,
        technique=None if technique is None else Technique(technique),
        played_on=on.date() if on else None,
    )
    with keeping() as store, working("reading the part"):
        logged = log_tries_by_ear(store, found, file, typed, request, wish=wish, player=player, known=known)
    for notice in logged.notices:
        tell(notice)
    if found.owned is None:
        model = found.horn.id
        tell(f"kept for the model {model}; for a horn of your own: slurwright horn add NAME --model {model}")
    if as_json:
        from slurwright.cli.answers import print_json  # noqa: PLC0415
        from slurwright.jobs.tried_list import tried_answer  # noqa: PLC0415

        names = {} if found.owned is None else {found.owned.id: found.owned.name}
        print_json(tried_answer(logged.attempts, names, first=logged.first))
        return
    from slurwright.cli.tried_report import print_logged  # noqa: PLC0415

    print_logged(logged)


def _split(words: tuple[str, ...], typed: str | None) -> tuple[Path | None, str, tuple[str, ...]]:
    """Say which word is the file, which the place; with a typed passage there is no file."""
    before = 0 if typed is not None else 1
    if len(words) < before + 2:
        wanted = "WHERE HEARD..." if typed is not None else "FILE WHERE HEARD..."
        raise click.UsageError(f"say {wanted}, such as 12:3 good good rough")
    file = None if typed is not None else Path(words[0])
    return file, words[before], words[before + 1 :]


@tried.command("list")
@click.option("--since", type=DAY, metavar="DATE", help="Only what was played since then.")
@player_option
@json_option
def list_tried(*, since: datetime | None, player: str | None, as_json: bool) -> None:
    """List what was logged, with numbers, withdrawn attempts too."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.jobs.own_horn import player_for  # noqa: PLC0415

    with keeping() as store:
        owner = player_for(store, player)
        every = store.attempts_of(owner.id, withdrawn=True)
        names = {one.id: one.name for one in store.horns(owner.id)}
    day = since.date() if since else None
    if as_json:
        from slurwright.cli.answers import print_json  # noqa: PLC0415
        from slurwright.jobs.tried_list import tried_answer  # noqa: PLC0415

        print_json(tried_answer(every, names, since=day))
        return
    from slurwright.cli.tried_report import print_tried  # noqa: PLC0415

    print_tried(every, names, since=day)


@tried.command()
@click.argument("numbers", nargs=-1, required=True, metavar="NUMBER...")
@player_option
def withdraw(numbers: tuple[str, ...], player: str | None) -> None:
    """Leave attempts out of account; `slurwright tried restore` takes it back.

    NUMBER is that of `tried list`; 12-18 means several.
    """
    _mark(numbers, player, withdrawn=True)


@tried.command()
@click.argument("numbers", nargs=-1, required=True, metavar="NUMBER...")
@player_option
def restore(numbers: tuple[str, ...], player: str | None) -> None:
    """Take attempts into account again that were withdrawn."""
    _mark(numbers, player, withdrawn=False)


def _mark(numbers: tuple[str, ...], player: str | None, *, withdrawn: bool) -> None:
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.devices.clock import now  # noqa: PLC0415
    from slurwright.jobs.own_horn import player_for  # noqa: PLC0415
    from slurwright.jobs.tried_list import numbered_attempts  # noqa: PLC0415

    with keeping() as store:
        owner = player_for(store, player)
        ids = numbered_attempts(store.attempts_of(owner.id, withdrawn=True), numbers)
        (store.withdraw_attempts if withdrawn else store.restore_attempts)(ids, now=now())
    which = " ".join(numbers)
    if withdrawn:
        click.echo(f"withdrawn: {which}")
        click.echo(f"Undo: slurwright tried restore {which}")
    else:
        click.echo(f"back in account: {which}")
