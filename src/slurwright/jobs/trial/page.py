"""The page of a round of a trial for the stand: its bars, what each arm is, when to rest."""

from slurwright.evidence.trial.tries import arm_key
from slurwright.formats.pages.request import PageRequest, Paper, RowLabel
from slurwright.horn import HornKind
from slurwright.jobs.trial.block import RoundPage
from slurwright.jobs.trial.running import RunningTrial
from slurwright.jobs.trial.words import arm_line, rest_words, slur_said
from slurwright.jobs.words import CAUTIONS, in_print

__all__ = ["page_title", "trial_page_request"]


def page_title(trial: RunningTrial, block: int) -> str:
    """Name a page: ``F3 to Bb3: blocks 5 to 8``.

    Args:
        trial: the trial.
        block: the first block on it.
    """
    return f"{slur_said(trial.design)}: {_blocks_said(trial, block)}"


def _blocks_said(trial: RunningTrial, block: int) -> str:
    """Name the blocks from one to the end of its round, counted from 1."""
    design = trial.design
    end = min((block // design.round_blocks + 1) * design.round_blocks, design.rules.most_blocks)
    return f"block {block + 1}" if end == block + 1 else f"blocks {block + 1} to {end}"


def trial_page_request(trial: RunningTrial, page: RoundPage, *, horn: str, paper: Paper = Paper.A4) -> PageRequest:
    """Gather what is to be printed of a round.

    Args:
        trial: the trial.
        page: the round.
        horn: what the player calls it.
        paper: the sheet.
    """
    design, part = trial.design, page.study.part
    where = f"bar {design.label.partition(':')[0]} of {design.part.title or design.part.file}"
    arms = [f"{arm_key(arm)}, {arm_line(one)}." for arm, one in enumerate(design.arms)]
    after = f"Note of each bar whether it was good, rough or missed: slurwright trial log {trial.short}."
    return PageRequest(
        part=part,
        title=in_print(page_title(trial, page.block)),
        subtitle=in_print(f"trial {trial.short} · {where} · {horn}"),
        labels={
            note: RowLabel(fingerings[0], changed=fingerings[0] != design.arms[0].ways[note % 2].fingering)
            for note, fingerings in page.fingerings.items()
        },
        legend=tuple(in_print(words) for words in (*arms, *rest_words(design), after)),
        cautions=CAUTIONS,
        paper=paper,
        positions=page.study.horn.kind is HornKind.SLIDE,
    )
