"""Studies made by hand: every note on its normal way unless told otherwise, and slurs whose risks are simply stated.

Risks here are test figures (a twentieth of the gap in hundreds of cents), not the plan's: pictures and reports must
show whatever they are given.
"""

import math
from collections.abc import Mapping
from dataclasses import replace

from slurwright.devices.packaged import load_horn
from slurwright.horn import Horn
from slurwright.plan import Choice, Plan, SlurKind, SlurReport, Technique, Way
from slurwright.plan.study import Study
from slurwright.plan.ways import ways_of
from slurwright.score import Line, Part, line_of

WEAK_ABOVE = 0.2


def percent(chance: float) -> str:
    return f"{100 * chance:.0f} %"


def hand_made_study(
    part: Part, *, horn: Horn | None = None, reading: int = 0, chosen: Mapping[int, str] | None = None
) -> Study:
    """Study a part with stated risks.

    Args:
        part: read or built elsewhere.
        horn: the instrument; None for the demo's euphonium.
        reading: which of the horn's readings the player uses.
        chosen: sound index -> fingering, where it departs from the normal one.
    """
    horn = horn or load_horn("euphonium-4c")
    line = line_of(part)
    ways = tuple(ways_of(sound.sounding, horn) for sound in line.sounds)
    taken = tuple(
        next(way for way in every if way.fingering == (chosen or {}).get(sound, every[0].fingering))
        for sound, every in enumerate(ways)
    )
    plan = Plan(
        ways=taken,
        techniques=(Technique.PLAIN,) * len(line.moves),
        chance_in_tune=0.8,
        chance_slurs=0.5,
        chance_fingers=0.9,
        cost=1.02,
        changes=sum(not way.normal for way in taken),
    )
    reports = tuple(_report(index, line, ways, taken) for index, move in enumerate(line.moves) if move.slurred)
    second = replace(plan, chance_slurs=0.4, changes=plan.changes + 1)
    return Study(part, horn.readings[reading], horn, line, ways, (plan, second), reports, part.notices)


def _gap(first: Way, second: Way) -> float:
    return abs(1200 * math.log2(second.partial / first.partial))


def _risk(first: Way, second: Way) -> float:
    held = 0.35 if first.setting.slide_position is not None else 0.02
    return min(0.9, _gap(first, second) / 2000) or held


def _report(index: int, line: Line, ways: tuple[tuple[Way, ...], ...], taken: tuple[Way, ...]) -> SlurReport:
    move = line.moves[index]
    first, second = taken[move.source], taken[move.target]
    gap, risk = _gap(first, second), _risk(first, second)
    kind = SlurKind.VALVE if not gap else SlurKind.LIP if first.setting == second.setting else SlurKind.BOTH
    weak = risk > WEAK_ABOVE
    return SlurReport(
        move=index,
        kind=kind,
        crossings=abs(second.partial - first.partial),
        gap_cents=gap,
        direction="up" if second.partial > first.partial else "down" if gap else "same",
        break_risk=risk,
        weak=weak,
        choices=_choices(first, second, ways[move.source], ways[move.target], risk) if weak else (),
        advice="Practise it as it stands first, then with the rescue." if weak else "",
    )


def _choices(
    first: Way, second: Way, before: tuple[Way, ...], after: tuple[Way, ...], risk: float
) -> tuple[Choice, ...]:
    def choice(name: str, technique: Technique, ways: tuple[Way, Way], chance: float) -> Choice:
        cents = (ways[0].cents, ways[1].cents)
        out = max(map(abs, cents)) - max(abs(first.cents), abs(second.cents))
        fingers = f"{name} it is" if ways != (first, second) else "touch it"
        return Choice(technique, ways, chance, cents, out, 1 - chance, fingers, f"because {name}", name)

    others = [(way, second) for way in before[1:3]] + [(first, way) for way in after[1:3]]
    return (
        choice("as it stands", Technique.PLAIN, (first, second), risk),
        choice("legato tongue", Technique.LEGATO_TONGUE, (first, second), risk / 2),
        *(
            choice(f"{one.fingering} to {two.fingering}", Technique.PLAIN, (one, two), _risk(one, two))
            for one, two in others
        ),
    )
