"""How long planning takes beside networkx on the same layered graph, in the same run.

Run: ``python benchmarks/plan_speed.py``. A part of 1,400 notes is planned on several horns. Then the same costs are
laid out as a graph of networkx (one node a way, one edge a change, both ends joined to a source and a sink) and its
best path is asked for: the best one through ``dag_longest_path`` (on a large number less each cost) and through
``dijkstra_path``, and the best five through ``shortest_simple_paths`` on a shorter piece, since that takes minutes on
the whole part (its time grows with the square of the length, ours with the length). The costs of the paths must agree
with the plans'. Times are of the processor, so that other work on the machine counts less; only the ratios can be
compared between machines.

What is timed. "plan" is all of `plan_line`: ways of every note, every chance, and the search for the best five.
"search" is the search alone, with costs known. networkx is timed on a finished graph, so it is given the graph for
nothing; the ratio that counts is search against networkx at the same number of paths.
"""

import statistics
import time
from collections.abc import Callable
from fractions import Fraction
from functools import partial
from itertools import islice, pairwise
from random import Random
from typing import Any

import networkx as nx

from slurwright.devices.packaged import load_chances, load_horn
from slurwright.horn import Horn
from slurwright.pitch import SoundingPitch
from slurwright.plan import PlanRequest, plan_line, slur_reports
from slurwright.plan.frontier import frontier
from slurwright.plan.pricing import Priced, price_line
from slurwright.plan.search import cheapest_plans
from slurwright.score import Line, Move, Sound

SIZE, SHORT, BEST, RUNS = 1400, 200, 5, 7
_LARGE = 1000.0
JUMPS = ((699, 0), (640, 700), (1399, 800))


def line_for(horn: Horn, size: int, *, jumps: tuple[tuple[int, int], ...] = ()) -> Line:
    """Steps and some leaps within a comfortable range, half of them slurred, dynamics changing."""
    rng = Random(1)
    playable = [midi for midi in range(horn.comfortable[0].midi, horn.comfortable[1].midi + 1) if midi in horn.normal]
    place, level = len(playable) // 2, 0.0
    sounds = []
    for index in range(size):
        if index % 40 == 0:
            level = float(rng.choice([-3, -2, -1, 0, 0, 1, 2]))
        length_s = rng.choice([0.2, 0.3, 0.4, 0.6, 1.2])
        pitch = SoundingPitch.from_midi(playable[place])
        sounds.append(Sound(index, (index,), pitch, Fraction(index), Fraction(1), length_s, level))
        place = min(len(playable) - 1, max(0, place + rng.choice([-5, -4, -3, -2, -2, -1, -1, 1, 1, 2, 2, 3, 4, 5])))
    pairs = sorted([(index, index + 1) for index in range(size - 1)] + list(jumps))
    moves = [
        Move(source, target, rng.random() < 0.5, sounds[source].duration_s, 0.0, sounds[target].dynamic)
        for source, target in pairs
    ]
    return Line(tuple(sounds), tuple(moves))


def seconds(work: Callable[[], Any], runs: int = RUNS) -> tuple[float, Any]:
    """Median time of a few runs, and what the last one gave."""
    times = []
    result = None
    for _ in range(runs):
        start = time.process_time()
        result = work()
        times.append(time.process_time() - start)
    return statistics.median(times), result


def as_graph(priced: Priced) -> Any:
    """The same layered graph for networkx: weights of states lie on the edges that lead to them."""
    graph = nx.DiGraph()
    states = [tune + start for tune, start in zip(priced.in_tune, priced.starts, strict=True)]
    costs = ((priced.smooth + priced.fingers) * priced.times[:, None])[:, 0]
    for way, cost in enumerate(states[0].tolist()):
        graph.add_edge("start", (0, way), weight=cost)
    for layer, place in enumerate(priced.steps):
        here, there = len(states[layer]), len(states[layer + 1])
        block = costs[place : place + here * there].reshape(here, there) + states[layer + 1]
        for source, row in enumerate(block.tolist()):
            for target, cost in enumerate(row):
                graph.add_edge((layer, source), (layer + 1, target), weight=cost)
    last = len(states) - 1
    for way in range(len(states[last])):
        graph.add_edge((last, way), "end", weight=0.0)
    return graph


def cost_of_path(graph: Any, path: list[Any]) -> float:
    """Sum of the weights along a path."""
    return float(sum(graph.edges[edge]["weight"] for edge in pairwise(path)))


def dag_best(graph: Any, turned: Any) -> float:
    """The best path by dynamic programming over the topological order."""
    return cost_of_path(graph, nx.dag_longest_path(turned, weight="weight"))


def compare(horn_id: str) -> None:
    """Time the search against networkx on one horn."""
    horn, chances = load_horn(horn_id), load_chances()
    priced = price_line(line_for(horn, SIZE), horn, chances=chances, choose_techniques=False)
    graph = as_graph(priced)
    print(f"\n{horn.name}: {SIZE} notes, {graph.number_of_nodes()} nodes, {graph.number_of_edges()} edges")
    one_s, plans = seconds(lambda: cheapest_plans(priced, PlanRequest(best=1)))
    five_s, five = seconds(lambda: cheapest_plans(priced, PlanRequest(best=BEST)))
    dijkstra_s, path = seconds(lambda: nx.dijkstra_path(graph, "start", "end"), 3)
    turned = nx.DiGraph()
    turned.add_weighted_edges_from((a, b, _LARGE - w) for a, b, w in graph.edges(data="weight"))
    dag_s, dag_cost = seconds(lambda: dag_best(graph, turned), 3)
    for cost in (cost_of_path(graph, path), dag_cost):
        assert abs(cost - plans[0].cost) < 1e-6, "both must find the same cost"
    print(f"  best path: search {one_s:.4f} s; networkx dijkstra {dijkstra_s:.3f} s, ratio {dijkstra_s / one_s:.0f};")
    print(f"             networkx dag {dag_s:.3f} s, ratio {dag_s / one_s:.0f}")
    short = price_line(line_for(horn, SHORT), horn, chances=chances, choose_techniques=False)
    graph = as_graph(short)
    ours_s, ours = seconds(lambda: cheapest_plans(short, PlanRequest(best=BEST)))
    theirs_s, paths = seconds(
        lambda: list(islice(nx.shortest_simple_paths(graph, "start", "end", weight="weight"), BEST)), 1
    )
    for plan, way in zip(ours, paths, strict=True):
        assert abs(plan.cost - cost_of_path(graph, way)) < 1e-6, "both must find the same costs"
    print(f"  best {BEST} of {SHORT} notes: search {ours_s:.4f} s; ", end="")
    print(f"networkx {theirs_s:.3f} s, ratio {theirs_s / ours_s:.0f}")
    print(f"  best {BEST} of {SIZE} notes: search {five_s:.4f} s ({five[0].changes} to {five[-1].changes} changes)")


def whole(horn_id: str) -> None:
    """Time everything that a player waits for on one horn."""
    horn, chances = load_horn(horn_id), load_chances()
    for name, jumps, request in (
        ("plain", (), PlanRequest(best=BEST)),
        ("with repeats", JUMPS, PlanRequest(best=BEST)),
        ("at most 3 changes", (), PlanRequest(best=BEST, most_changes=3)),
        ("with techniques", (), PlanRequest(best=BEST, techniques=True)),
    ):
        line = line_for(horn, SIZE, jumps=jumps)
        plan_s, plans = seconds(partial(plan_line, line, horn, chances=chances, request=request))
        print(f"  {horn_id:14} {name:18} plan {plan_s:.3f} s", end="")
        report_s, reports = seconds(partial(slur_reports, line, plans[0], horn, chances=chances), 3)
        print(f"; reports {report_s:.3f} s ({len(reports)} slurs, {sum(report.weak for report in reports)} weak)")
    frontier_s, plans = seconds(lambda: frontier(line_for(horn, SIZE), horn, chances=chances), 3)
    print(f"  {horn_id:14} frontier {frontier_s:.2f} s, {len(plans)} plans")


def main() -> None:
    """Print the table."""
    print(f"plan_line, best {BEST} of {SIZE} notes, median of {RUNS} runs, imports excluded")
    for horn_id in ("euphonium-4c", "trumpet-b", "trombone", "horn-double", "tuba-f-6"):
        whole(horn_id)
    for horn_id in ("euphonium-4c", "trumpet-b"):
        compare(horn_id)


if __name__ == "__main__":
    main()
