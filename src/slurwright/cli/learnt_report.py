"""What a player's attempts make of a plan, in a terminal: the cells of its tables, and what they change."""

from collections.abc import Sequence

from rich.console import Console

from slurwright.cli.console import heading, item
from slurwright.jobs.learnt_words import interval_text, risk_text, whence
from slurwright.jobs.words import bar_of, percent, place_of, slur_notes
from slurwright.plan import Choice, SlurReport
from slurwright.plan.study import Study
from slurwright.plan.values import Basis

__all__ = ["print_learnt", "risk_cells", "risk_heads", "risk_legend"]

_MOST_TOLD = 6
"""More would not be read (ours) [1]."""


def risk_heads(study: Study) -> tuple[str, ...]:
    """Name the columns of a break risk in tables."""
    if study.learnt_from is None:
        return ("breaks",)
    return ("prior", "yours", "between", "tried") if study.priors_only else ("breaks", "between", "prior", "tried")


def risk_cells(study: Study, told: SlurReport | Choice) -> tuple[str, ...]:
    """Fill these columns for a slur or a choice."""
    learnt = told.learnt
    if study.learnt_from is None or learnt is None:
        return (percent(told.break_risk), *[""] * (len(risk_heads(study)) - 1))
    mine = learnt.basis is not Basis.PRIOR
    between = interval_text(learnt) if mine else ""
    tried = f"{learnt.attempts:.0f}" if learnt.basis is Basis.ATTEMPTS else ""
    if study.priors_only:
        return percent(told.break_risk), percent(learnt.risk) if mine else "", between, tried
    return percent(told.break_risk), between, percent(learnt.prior), tried


def risk_legend(study: Study) -> tuple[str, ...]:
    """Say what these columns mean; nothing where the priors stand alone."""
    if study.learnt_from is None:
        return ()
    mine = "yours: as your attempts have it; " if study.priors_only else ""
    return (
        f"{mine}between: where your own risk lies nine times in ten, empty where the figure is the prior; tried: "
        "your attempts at this very slur played so, older ones counted less, empty where it is learnt from your "
        "other slurs",
    )


def print_learnt(study: Study, console: Console) -> None:
    """Print what a plan is learnt from and what that changes; nothing where the priors stand alone."""
    if study.learnt_from is None:
        return
    heading("What your attempts say" if study.priors_only else "Learnt from your attempts", console)
    item(whence(study), console)
    _print_changes(study, console)


def _print_changes(study: Study, console: Console) -> None:
    """Print which fingerings and which risks are not as the priors alone would have them."""
    for words in (*_fingerings(study), *_slurs(study)):
        item(words, console)


def _fingerings(study: Study) -> list[str]:
    """Say where the fingering is another with what is learnt than on the priors alone."""
    if study.otherwise is None:
        return []
    learnt, priors = study.plan.ways, study.otherwise.ways
    if study.priors_only:
        learnt, priors = priors, learnt
    changed = [
        f"{place_of(study, index)} {mine.fingering} instead of {prior.fingering}"
        for index, (mine, prior) in enumerate(zip(learnt, priors, strict=True))
        if (mine.fingering, mine.partial) != (prior.fingering, prior.partial)
    ]
    if not changed:
        return ["They leave every fingering as it is on the priors alone."]
    more = f"; and {len(changed) - _MOST_TOLD} more" if len(changed) > _MOST_TOLD else ""
    would = "would change" if study.priors_only else "change"
    return [f"They {would} fingerings: {'; '.join(changed[:_MOST_TOLD])}{more}"]


def _slurs(study: Study) -> list[str]:
    """Say which slurs are riskier or safer than their priors, those that move furthest first."""
    alike: dict[str, list[tuple[float, str]]] = {}
    for report in study.reports:
        learnt = report.learnt
        if learnt is not None and learnt.basis is not Basis.PRIOR:
            said = risk_text(report.break_risk, learnt, priors_only=study.priors_only)
            words = f"{slur_notes(study, report)} breaks {said}"
            alike.setdefault(words, []).append((abs(learnt.risk - learnt.prior), bar_of(study, report)))
    ranked = sorted(alike.items(), key=lambda one: -max(moved for moved, _ in one[1]))
    told = [f"{_bars([bar for _, bar in places])}: {words}" for words, places in ranked[:_MOST_TOLD]]
    left = sum(len(places) for _, places in ranked[_MOST_TOLD:])
    return told + ([f"and {left} more slurs that are not as their priors, all in --json"] if left else [])


def _bars(bars: Sequence[str]) -> str:
    """Name bars, each once."""
    once = list(dict.fromkeys(bars))
    more = f" and {len(once) - _MOST_TOLD} more" if len(once) > _MOST_TOLD else ""
    return f"bar{'' if len(once) == 1 else 's'} {', '.join(once[:_MOST_TOLD])}{more}"
