"""What every plan of a short line costs, by trying them all with one chance at a time."""

import math
from itertools import product

from slurwright.devices.packaged import load_chances
from slurwright.horn import Horn, Reach
from slurwright.plan import PlanRequest, Technique, Way, Weights, ways_of
from slurwright.plan.known import Known
from slurwright.plan.rating import chance_at_start, chance_fingers, chance_in_tune, chance_speaks, usual_technique
from slurwright.score import Line

__all__ = ["cost_of", "every_plan"]

CHANCES = load_chances()


def cost_of(
    line: Line,
    horn: Horn,
    ways: tuple[Way, ...],
    techniques: tuple[Technique, ...],
    weights: Weights,
    known: Known | None = None,
) -> float:
    """Cost by the formula, from one chance at a time."""
    cost = 0.0
    for sound, way in zip(line.sounds, ways, strict=True):
        cost -= weights.in_tune * sound.times * math.log(chance_in_tune(way, sound, horn, chances=CHANCES))
        led_to = sum(move.times for move in line.moves if move.target == sound.index)
        bare = max(0, sound.times - led_to)
        cost -= weights.familiar * bare * math.log(chance_at_start(way, sound, horn, chances=CHANCES, known=known))
    for index, move in enumerate(line.moves):
        pair = ways[move.source], ways[move.target]
        technique = techniques[index]
        fingers = chance_fingers(pair, index, line, horn, technique=technique, chances=CHANCES, known=known)
        if fingers == 0.0:
            return math.inf
        cost -= weights.familiar * move.times * math.log(fingers)
        if move.slurred:
            speaks = chance_speaks(pair, index, line, horn, technique=technique, chances=CHANCES, known=known)
            cost -= weights.smooth * move.times * math.log(speaks)
    return cost


def every_plan(
    line: Line, horn: Horn, request: PlanRequest, *, reach: Reach, known: Known | None = None
) -> list[float]:
    """Costs of all plans that a request allows, cheapest first."""
    lists = [ways_of(sound.sounding, horn, reach=reach) for sound in line.sounds]
    found = []
    for ways in product(*lists):
        labels = [way.fingering for way in ways]
        if any(labels[sound] != pin for sound, pin in request.pins.items()):
            continue
        if any((None, label) in request.bans or (at, label) in request.bans for at, label in enumerate(labels)):
            continue
        if request.most_changes is not None and sum(not way.normal for way in ways) > request.most_changes:
            continue
        options = []
        for move in line.moves:
            usual = usual_technique((ways[move.source], ways[move.target]), move, horn, chances=CHANCES)
            free = request.techniques and move.slurred
            options.append(tuple(Technique) if free else (usual,))
        costs = [cost_of(line, horn, ways, techniques, request.weights, known) for techniques in product(*options)]
        found += costs if request.techniques else [min(costs)]
    return sorted(cost for cost in found if cost < float("inf"))
