"""Works of the other benchmark files of this folder, in the form that `benchmarks.common` runs."""

from collections.abc import Callable
from itertools import islice

import networkx as nx
from lxml import etree

from benchmarks import mark_speed, plan_speed
from slurwright.devices.packaged import load_chances, load_horn
from slurwright.formats.marks import Mark, mark_file, unmark_file
from slurwright.plan import PlanRequest, plan_line
from slurwright.plan.pricing import Priced, price_line
from slurwright.plan.search import cheapest_plans

__all__ = [
    "prepare_dijkstra",
    "prepare_graph",
    "prepare_lxml",
    "prepare_mark_every_note",
    "prepare_mark_part",
    "prepare_plan",
    "prepare_search",
    "prepare_simple_paths",
    "prepare_unmark",
]


def prepare_plan(horn_id: str, best: str) -> Callable[[], object]:
    """Plan a part of 1,400 notes from nothing but its line: ways, chances, search."""
    horn, chances = load_horn(horn_id), load_chances()
    line = plan_speed.line_for(horn, plan_speed.SIZE)
    request = PlanRequest(best=int(best))
    return lambda: plan_line(line, horn, chances=chances, request=request)


def _priced(horn_id: str, size: str) -> Priced:
    horn = load_horn(horn_id)
    line = plan_speed.line_for(horn, int(size))
    return price_line(line, horn, chances=load_chances(), choose_techniques=False)


def prepare_search(horn_id: str, size: str, best: str) -> Callable[[], object]:
    """Search the best plans where every cost is known."""
    priced = _priced(horn_id, size)
    request = PlanRequest(best=int(best))
    return lambda: cheapest_plans(priced, request)


def prepare_dijkstra(horn_id: str, size: str) -> Callable[[], object]:
    """Find the best path of the same graph with networkx; both must find the same cost."""
    priced = _priced(horn_id, size)
    graph = plan_speed.as_graph(priced)
    plan = cheapest_plans(priced, PlanRequest())[0]

    def work() -> None:
        path = nx.dijkstra_path(graph, "start", "end")
        assert abs(plan_speed.cost_of_path(graph, path) - plan.cost) < 1e-6

    return work


def prepare_graph(horn_id: str, size: str) -> Callable[[], object]:
    """Build the graph from the costs and find its best path with networkx."""
    priced = _priced(horn_id, size)
    return lambda: nx.dijkstra_path(plan_speed.as_graph(priced), "start", "end")


def prepare_simple_paths(horn_id: str, size: str, best: str) -> Callable[[], object]:
    """Find the best few paths of the same graph with networkx; both must find the same costs."""
    priced = _priced(horn_id, size)
    graph = plan_speed.as_graph(priced)
    plans = cheapest_plans(priced, PlanRequest(best=int(best)))

    def work() -> None:
        paths = nx.shortest_simple_paths(graph, "start", "end", weight="weight")
        for plan, path in zip(plans, islice(paths, int(best)), strict=True):
            assert abs(plan_speed.cost_of_path(graph, path) - plan.cost) < 1e-6

    return work


def _marks(count: int) -> list[Mark]:
    return [Mark(f"note:{at}", "1-2", "slur 9: 24 %" if at % 20 == 0 else None) for at in range(count)]


def prepare_mark_part() -> Callable[[], object]:
    """Mark one part of a score of 26 MB."""
    data, marks = mark_speed.score(), _marks(mark_speed.MEASURES * 4)
    return lambda: mark_file(data, marks, format="musicxml")


def prepare_mark_every_note() -> Callable[[], object]:
    """Mark every note of that score."""
    data, marks = mark_speed.score(), _marks(mark_speed.PARTS * mark_speed.MEASURES * 4)
    return lambda: mark_file(data, marks, format="musicxml")


def prepare_unmark() -> Callable[[], object]:
    """Cut every mark out again."""
    marks = _marks(mark_speed.PARTS * mark_speed.MEASURES * 4)
    data = mark_file(mark_speed.score(), marks, format="musicxml")
    return lambda: unmark_file(data, format="musicxml")


def prepare_lxml() -> Callable[[], object]:
    """Parse that score with lxml and write it again, changing nothing."""
    data = mark_speed.score()
    return lambda: etree.tostring(etree.fromstring(data))
