"""How it is said what a figure rests on: the priors, or a player's own attempts."""

from collections.abc import Iterable

from slurwright.jobs.words import attempts_text, percent
from slurwright.plan import Choice, SlurReport
from slurwright.plan.study import LearntFrom, Study
from slurwright.plan.values import Basis, LearntRisk

__all__ = [
    "HOW_TO_READ",
    "SIGNS",
    "interval_text",
    "risk_text",
    "signed",
    "tried_slurs",
    "whence",
]

SIGNS = {Basis.PRIOR: "", Basis.ATTEMPTS: "†", Basis.OTHER_SLURS: "‡"}
"""What stands beside a risk where there is no room for words."""
HOW_TO_READ = "† learnt from your own attempts at this very slur, ‡ from those at your other slurs; no sign: prior."


def interval_text(learnt: LearntRisk) -> str:
    """Say from where to where a player's own risk may lie: "3 to 14 %"."""
    low, high = percent(learnt.low), percent(learnt.high)
    return low if low == high else f"{low.removesuffix(' %')} to {high}"


def risk_text(risk: float, learnt: LearntRisk | None, *, priors_only: bool = False) -> str:
    """Say a break risk with what it rests on.

    "12 % prior", "7 % (3 to 14 %, learnt from 23 attempts; prior 12 %)", or where the plan rests on the priors alone
    "12 % prior (7 %, 3 to 14 %, learnt from 23 attempts)".

    Args:
        risk: as the plan has it [1].
        learnt: what attempts make of it; None where there are none.
        priors_only: True where the plan rests on the priors alone.
    """
    if learnt is None or learnt.basis is Basis.PRIOR:
        return f"{percent(risk)} prior"
    if priors_only:
        return f"{percent(risk)} prior ({percent(learnt.risk)}, {interval_text(learnt)}, {_source(learnt)})"
    return f"{percent(risk)} ({interval_text(learnt)}, {_source(learnt)}; prior {percent(learnt.prior)})"


def _source(learnt: LearntRisk) -> str:
    if learnt.basis is Basis.ATTEMPTS:
        return f"learnt from {attempts_text(learnt.attempts)}"
    return "learnt from your other slurs"


def signed(told: SlurReport | Choice, *, priors_only: bool = False) -> str:
    """Say a break risk with the sign of what it rests on: "7 %†".

    Args:
        told: a slur or a choice at one.
        priors_only: True where the plan rests on the priors alone.
    """
    if told.learnt is None or priors_only:
        return percent(told.break_risk)
    return percent(told.break_risk) + SIGNS[told.learnt.basis]


def tried_slurs(reports: Iterable[SlurReport]) -> int:
    """Count the slurs that the player has tried just as they are planned [1]."""
    return sum(one.learnt is not None and one.learnt.basis is Basis.ATTEMPTS for one in reports)


def whence(study: Study) -> str:
    """Say what the figures of a study are learnt from; empty where the priors stand alone."""
    if study.learnt_from is None:
        return ""
    tried = tried_slurs(study.reports)
    if not study.reports:
        return f"{_learnt(study.learnt_from)}; this part has no slurs."
    which = (
        f"{tried} of the {len(study.reports)} slurs of this part {'was' if tried == 1 else 'were'} tried as planned"
    )
    return f"{_learnt(study.learnt_from)}; {which}."


def _learnt(source: LearntFrom) -> str:
    until = "" if source.until is None else f" until {source.until.isoformat()}"
    return f"{attempts_text(source.attempts)}{until}"
