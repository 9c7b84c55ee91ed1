"""`slurwright progress`: what got better, what did not, what to drop."""

from datetime import datetime
from pathlib import Path

import click

from slurwright.cli.options import json_option, player_option, which_part_options
from slurwright.cli.values import DAY

__all__ = ["progress"]


@click.command(
    epilog="""Examples:

\b
  slurwright progress
  slurwright progress waltz.musicxml --horn "old silver" --since 2026-09-01
  slurwright progress --slur "F3 Bb3" --pages progress.pdf
"""
)
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option("--horn", "horn_name", metavar="NAME", help="Only this horn of your own; all of them otherwise.")
@player_option
@which_part_options
@click.option("--since", type=DAY, metavar="DATE", help="Only what was played since then.")
@click.option("--slur", metavar="NOTES", help="Only this slur: 'F3 Bb3' as you read them, or 12:3 with FILE.")
@click.option("--pages", type=click.Path(path_type=Path), metavar="OUT", help="Draw the curves: .pdf or .svg.")
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Sheet.")
@json_option
def progress(
    *,
    file: Path | None,
    horn_name: str | None,
    player: str | None,
    part_name: str | None,
    voice: str | None,
    written_for: str | None,
    since: datetime | None,
    slur: str | None,
    pages: Path | None,
    paper: str,
    as_json: bool,
) -> None:
    """Say slur by slur and note by note what got better, what did not although you practised it, and what to drop.

    With FILE only the slurs and notes of that part are told of, wherever you played them. Everything rests on takes
    that were kept (`slurwright take measure`) and on what you logged by ear (`slurwright tried log`).
    """
    from slurwright.cli.keeping import horn_for, keeping, tell  # noqa: PLC0415  heavy rooms wait until a job runs
    from slurwright.cli.study_output import working  # noqa: PLC0415
    from slurwright.jobs.progress.gathered import ProgressRequest  # noqa: PLC0415
    from slurwright.jobs.study import StudyRequest  # noqa: PLC0415
    from slurwright.wiring.progress import (  # noqa: PLC0415
        check_pages_name,
        horn_to_read_on,
        progress_of_player,
        write_progress,
    )
    from slurwright.wiring.take import asked_part  # noqa: PLC0415

    if pages is not None:
        check_pages_name(pages)
    study = None
    with keeping() as store:
        if file is not None:
            horn = horn_for(horn_to_read_on(store, horn_name, player=player), player=player)
            request = StudyRequest(part=part_name, voice=voice, written_for=written_for)
            with working("reading the part"):
                study = asked_part(file, None, horn, request).study
        day = since.date() if since else None
        with working("learning from what you played"):
            answer = progress_of_player(store, ProgressRequest(player, horn_name, day, slur, study))
    for notice in answer.progress.notices:
        tell(notice)
    written: tuple[Path, ...] = ()
    if pages is not None:
        with working("drawing"):
            written = write_progress(answer, pages, paper=paper)
    if as_json:
        from slurwright.cli.answers import print_json  # noqa: PLC0415
        from slurwright.jobs.progress.answers import progress_answer  # noqa: PLC0415

        print_json(progress_answer(answer))
    else:
        from slurwright.cli.progress_report import print_progress  # noqa: PLC0415

        print_progress(answer)
    for path in written:
        click.echo(f"written: {path}", err=True)
