"""`slurwright trial`: is another way really better at this slur, for you? Laid down, played, answered."""

from datetime import datetime
from pathlib import Path

import click

from slurwright.cli.kept_trials import KEPT_TRIALS
from slurwright.cli.options import horn_options, json_option, score_options
from slurwright.cli.values import DAY, Figure

__all__ = ["trial"]


@click.group(
    epilog="""Examples:

\b
  slurwright trial new waltz.musicxml 12:3 --horn "old silver" --dynamic pp
  slurwright trial new waltz.musicxml 12:3 --horn "old silver" --choose F3=4 --choose legato-tongue
  slurwright trial next 3f
  slurwright trial log 3f good rough good good
  slurwright trial take 3f monday.wav
"""
)
def trial() -> None:
    """Compare a few ways to play one slur: what to play in which order, when it is enough, and what it says."""


@trial.command()
@click.argument("place", nargs=-1, required=True, metavar="FILE WHERE")
@horn_options
@score_options
@click.option(
    "--choose",
    "chosen",
    multiple=True,
    metavar="WAY",
    help="What to set against the slur as it stands: a choice's number or name, legato-tongue, half-valve, or F3=4.",
)
@click.option(
    "--aim",
    type=click.Choice(["speaking", "smoothness", "tuning"]),
    default="speaking",
    show_default=True,
    help="What decides when it is over; the last two need takes.",
)
@click.option("--worth", type=Figure(0.5, 50), metavar="%", help="Difference of chances worth having (5).")
@click.option("--worth-smooth", type=Figure(0.01, 0.9), metavar="X", help="The same of smoothness (0.1).")
@click.option("--worth-cents", type=Figure(0.5, 50), metavar="CENTS", help="The same of tuning (5).")
@click.option("--most-blocks", type=click.IntRange(5, 200), metavar="N", help="It ends after so many blocks (30).")
@click.option("--seed", type=click.IntRange(0, 2**31 - 1), metavar="N", help="Of the order of play; any otherwise.")
@json_option
@click.pass_context
def new(
    context: click.Context,
    *,
    place: tuple[str, ...],
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
    chosen: tuple[str, ...],
    aim: str,
    worth: float | None,
    worth_smooth: float | None,
    worth_cents: float | None,
    most_blocks: int | None,
    seed: int | None,
    as_json: bool,
) -> None:
    """Lay a trial down for the slur that leads from WHERE (12:3, or F3) in FILE.

    It is set against what promises most there, or against what --choose says, as often as you like. The slur as it
    stands is always among them, on the normal fingerings.
    """
    from slurwright.cli.keeping import found_for, keeping, tell  # noqa: PLC0415  heavy rooms wait for a job
    from slurwright.cli.study_output import working  # noqa: PLC0415
    from slurwright.cli.trial_report import print_begun  # noqa: PLC0415
    from slurwright.devices.clock import now  # noqa: PLC0415
    from slurwright.evidence.trial.values import Aspect  # noqa: PLC0415
    from slurwright.jobs.study import StudyRequest  # noqa: PLC0415
    from slurwright.jobs.trial.design import TrialWish  # noqa: PLC0415
    from slurwright.wiring.trials import begin_trial  # noqa: PLC0415

    if len(place) != (2 if typed is None else 1):
        raise click.UsageError("say FILE and WHERE, or --typed and WHERE", context)
    request = StudyRequest(
        part=part_name,
        voice=voice,
        reading=reading,
        written_for=written_for,
        dynamic=dynamic,
        tempo_qpm=tempo,
        pins=pins,
    )
    wish = TrialWish(
        chosen=chosen,
        aim=Aspect(aim),
        seed=int(now().timestamp() * 1e3) % 2**31 if seed is None else seed,
        dynamic=dynamic,
        worth_chance=None if worth is None else worth / 100,
        worth_smoothness=worth_smooth,
        worth_cents=worth_cents,
        most_blocks=most_blocks,
    )
    found = found_for(horn_name, player=player, tuning=tuning, tendencies=tendencies)
    with keeping() as store, working("reading and planning"):
        source = Path(place[0]) if typed is None else typed
        begun = begin_trial(store, found, source, place[-1], request=request, wish=wish)
    if as_json:
        from slurwright.cli.answers import print_json  # noqa: PLC0415
        from slurwright.jobs.trial.answers import trial_answer  # noqa: PLC0415

        print_json(trial_answer(begun.trial, horn=horn_name, notices=begun.notices))
        return
    for words in begun.notices:
        tell(words)
    print_begun(begun, horn=horn_name)


@trial.command("next")
@click.argument("trial_id", metavar="TRIAL")
@json_option
def play_next(trial_id: str, *, as_json: bool) -> None:
    """Say what to play next in a TRIAL, with its rests; the beginning of its id is enough."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.cli.trial_report import print_next  # noqa: PLC0415
    from slurwright.wiring.trials import horn_name_of, open_trial  # noqa: PLC0415

    with keeping() as store:
        running = open_trial(store, trial_id)
        horn = horn_name_of(store, running)
    if as_json:
        from slurwright.cli.answers import print_json  # noqa: PLC0415
        from slurwright.jobs.trial.answers import trial_answer  # noqa: PLC0415

        print_json(trial_answer(running, horn=horn))
        return
    print_next(running, horn=horn)


@trial.command()
@click.argument("trial_id", metavar="TRIAL")
@click.argument("words", nargs=-1, required=True, metavar="WORDS")
@click.option("--on", type=DAY, metavar="DATE", help="When, as 2026-01-31; today otherwise.")
@json_option
def log(trial_id: str, *, words: tuple[str, ...], on: datetime | None, as_json: bool) -> None:
    """Log by ear what became of the next tries of a TRIAL, in the order in which they were to be played.

    WORDS are good, rough or missed, one a try: rough where it came, but not cleanly.
    """
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.devices.clock import today  # noqa: PLC0415
    from slurwright.wiring.trials import horn_name_of, log_tries, open_trial  # noqa: PLC0415

    with keeping() as store:
        running = open_trial(store, trial_id)
        running = log_tries(store, running, words, played_on=on.date() if on else today())
        horn = horn_name_of(store, running)
    if as_json:
        from slurwright.cli.answers import print_json  # noqa: PLC0415
        from slurwright.jobs.trial.answers import trial_answer  # noqa: PLC0415

        print_json(trial_answer(running, horn=horn))
        return
    from slurwright.cli.trial_report import print_trial  # noqa: PLC0415

    print_trial(running, horn=horn)


@trial.command()
@click.argument("trial_id", metavar="TRIAL")
@click.argument("out", type=click.Path(path_type=Path))
@click.option("--block", type=click.IntRange(1), metavar="N", help="From this block on; the next one otherwise.")
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Sheet.")
def page(trial_id: str, *, out: Path, block: int | None, paper: str) -> None:
    """Write the next round of a TRIAL for the stand: .pdf, .svg or .musicxml.

    A bar a try, in the order of play, with its fingerings and technique, and a bar of rest after each.
    """
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.cli.study_output import working  # noqa: PLC0415
    from slurwright.wiring.trials import (  # noqa: PLC0415
        block_meant,
        check_round_page_name,
        horn_of_trial,
        open_trial,
        write_round_page,
    )

    check_round_page_name(out)
    with keeping() as store:
        running = open_trial(store, trial_id)
        at = horn_of_trial(store, running)
    with working("drawing"):
        written = write_round_page(running, at, block_meant(running, block), out, paper=paper)
    for path in written:
        click.echo(f"written: {path}", err=True)


@trial.command()
@click.argument("trial_id", metavar="TRIAL")
@click.argument("recording", required=False, type=click.Path(path_type=Path))
@click.option("--kept", "take_id", metavar="TAKE", help="A kept take of the page instead of RECORDING.")
@click.option("--block", type=click.IntRange(1), metavar="N", help="The first block on the page; the next otherwise.")
@click.option("--a4", type=float, default=440.0, show_default=True, metavar="HZ", help="What you tuned to.")
@click.option("--keep-sound", is_flag=True, help="Keep the recording too, not its figures alone.")
@click.option("--celsius", type=Figure(-20, 50), metavar="T", help="Air in the room.")
@click.option("--on", type=DAY, metavar="DATE", help="When, as 2026-01-31; today otherwise.")
@json_option
@click.pass_context
def take(
    context: click.Context,
    *,
    trial_id: str,
    recording: Path | None,
    take_id: str | None,
    block: int | None,
    a4: float,
    keep_sound: bool,
    celsius: float | None,
    on: datetime | None,
    as_json: bool,
) -> None:
    """Measure a RECORDING of the page of a TRIAL, and count its tries.

    Play the bars of the page in their order, with a rest after each. What was measured is kept like any take.
    """
    from slurwright.cli.keeping import keeping  # noqa: PLC0415  heavy rooms wait for a job
    from slurwright.cli.progressing import progressing  # noqa: PLC0415
    from slurwright.devices.clock import today  # noqa: PLC0415
    from slurwright.evidence.trial.tries import page_slots  # noqa: PLC0415
    from slurwright.wiring.trials import (  # noqa: PLC0415
        RoundWish,
        block_meant,
        horn_of_trial,
        link_take,
        open_trial,
        take_round,
    )

    if (recording is None) == (take_id is None):
        raise click.UsageError("say either RECORDING or --kept, one of the two", context)
    with keeping() as store:
        running = open_trial(store, trial_id)
        at = horn_of_trial(store, running)
        first, before = block_meant(running, block), len(running.standing.tries)
        if recording is None:
            running = link_take(store, running, at, store.take_of(take_id or ""), block=first)
        else:
            wish = RoundWish(first, on.date() if on else today(), a4, sound=keep_sound, celsius=celsius)
            with progressing("measuring") as tick:
                running, measured = take_round(store, running, at, recording, wish=wish, tick=tick)
            if measured.kept is not None:
                click.echo(f"kept: take {measured.kept.id[:8]}", err=True)
        counted = len(running.standing.tries) - before
        click.echo(f"tries counted: {counted} of {len(page_slots(running.design, first))} on the page", err=True)
    if as_json:
        from slurwright.cli.answers import print_json  # noqa: PLC0415
        from slurwright.jobs.trial.answers import trial_answer  # noqa: PLC0415

        print_json(trial_answer(running, horn=at.own.owned.name))
        return
    from slurwright.cli.trial_report import print_trial  # noqa: PLC0415

    print_trial(running, horn=at.own.owned.name)


for _command in KEPT_TRIALS:
    trial.add_command(_command)
