"""All that a ladder shows, gathered once, and what of it falls into one row: the moves, and the words for them."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from slurwright.picture.columns import Column, Rung
from slurwright.picture.marks import Mark
from slurwright.picture.path import Step
from slurwright.picture.shown import Shown
from slurwright.picture.stage import RUNG_MM, Stage
from slurwright.plan import Choice, Plan, SlurKind, SlurReport, Technique, Way
from slurwright.score import Line, Move

__all__ = ["BARS", "Scene", "describe", "name_mark", "steps_of"]

BARS = {Technique.PLAIN: 0, Technique.LEGATO_TONGUE: 1, Technique.HALF_VALVE: 2}
"""Strokes across the line of a slur that is made with a technique."""
_EDGE_MM = 4.6


@dataclass(frozen=True, slots=True)
class Scene:
    """What is drawn, over the whole part."""

    line: Line
    plan: Plan
    columns: Sequence[Column]
    rungs: Mapping[int, Rung]
    shown: Sequence[Shown]
    reports: Mapping[int, SlurReport]
    """Move index -> its report, for slurred moves."""
    numbers: Mapping[int, int]
    """Move index -> number of a weak slur."""
    helps: Mapping[int, Choice]
    """Move index -> the refingering that helps a weak slur most."""
    percent: Callable[[float], str]
    slide: bool
    """True for a slide trombone."""

    @property
    def techniques(self) -> frozenset[Technique]:
        """Techniques that are drawn somewhere, plain slurs apart."""
        used = {*self.plan.techniques, *(choice.technique for choice in self.helps.values())}
        return frozenset(used - {Technique.PLAIN})

    def bars_words(self, row: range) -> str:
        """Say which bars a row holds."""
        first, last = self.columns[row.start].bar_words, self.columns[row.stop - 1].bar
        if not first:
            return f"upbeat to bar {last}"
        return f"bar {first}" if first == last else f"bars {first} to {last}"

    def weak_words(self, move: int) -> str:
        """Number and risk of a weak slur; empty for a slur that is not weak."""
        return f"S{self.numbers[move]} {self.percent(self.reports[move].break_risk)}" if move in self.numbers else ""


def steps_of(scene: Scene, stage: Stage, marks: Mapping[int, Sequence[Mark]]) -> tuple[Step, ...]:
    """Which lines run through a row: the chosen path, then the dashed ways round its weak slurs."""
    steps: list[Step] = []
    for index, move in enumerate(scene.line.moves):
        if move.source not in stage.columns and move.target not in stage.columns:
            continue
        start, end = _ends(stage, marks, move, (scene.plan.ways[move.source], scene.plan.ways[move.target]))
        if start and end:
            steps.append(_step(scene, index, start, end, stage=stage))
    for index, choice in scene.helps.items():
        move = scene.line.moves[index]
        start, end = _ends(stage, marks, move, choice.ways)
        if start and end and move.target == move.source + 1:
            words = scene.percent(choice.break_risk) if move.target in stage.columns else ""
            stub = not _both(stage, move)
            bars = BARS[choice.technique]
            steps.append(Step(start, end, slurred=True, helps=True, bars=bars, stub=stub, weak_words=words))
    return tuple(steps)


def _both(stage: Stage, move: Move) -> bool:
    return move.source in stage.columns and move.target in stage.columns


def _step(scene: Scene, index: int, start: tuple[float, float], end: tuple[float, float], *, stage: Stage) -> Step:
    move = scene.line.moves[index]
    report = scene.reports.get(index)
    if report is None:
        return Step(start, end, slurred=move.slurred)
    jumps = move.target != move.source + 1
    weak_words = scene.weak_words(index)
    gap_words = f"{report.gap_cents:.0f} c" if report.crossings else ""
    if jumps and weak_words:
        weak_words += f" → bar {scene.columns[move.target].bar}"
    words_here = jumps or move.target in stage.columns
    return Step(
        start,
        end,
        slurred=move.slurred,
        weak=report.weak,
        smears=scene.slide and report.kind is SlurKind.VALVE,
        bars=BARS[scene.plan.techniques[index]],
        stub=jumps or not _both(stage, move),
        gap_words=gap_words if words_here else "",
        weak_words=weak_words if words_here else "",
    )


def _ends(
    stage: Stage, marks: Mapping[int, Sequence[Mark]], move: Move, ways: tuple[Way, Way]
) -> tuple[tuple[float, float] | None, tuple[float, float] | None]:
    """Both ends of a move on this row; an end on another row is drawn as a stub towards it."""
    start = _spot(marks.get(move.source, ()), ways[0])
    end = _spot(marks.get(move.target, ()), ways[1])
    lean = RUNG_MM * 0.45 * ((ways[1].partial > ways[0].partial) - (ways[1].partial < ways[0].partial))
    if move.target != move.source + 1:
        if start is None or not move.slurred:
            return None, None
        return start, (start[0] + _EDGE_MM - 1.0, start[1] - lean)
    if start and not end:
        return start, (stage.right, start[1] - lean)
    if end and not start:
        return (stage.left + 0.6, end[1] + lean), end
    return start, end


def _spot(marks: Sequence[Mark], way: Way) -> tuple[float, float] | None:
    for mark in marks:
        if mark.way.fingering == way.fingering and mark.way.partial == way.partial:
            return mark.spot.x, mark.spot.y
    return None


def name_mark(scene: Scene, column: int, mark: Mark) -> str:
    """Say a mark in words, for people who point at it."""
    words, way = scene.columns[column], mark.way
    kind = ("chosen, " if mark.chosen else "") + ("normal" if way.normal else "alternate")
    place = f"{way.fingering} on partial {way.partial}, {way.cents:+.0f} cents"
    return f"{words.name}, bar {words.bar}: {place}, {kind}"


def describe(scene: Scene, row: range) -> str:
    """Say what a row shows, for people who do not see it: the path, then the weak slurs."""
    path = ", ".join(f"{scene.columns[i].name} {scene.plan.ways[i].fingering}" for i in row)
    sentences = [f"Chosen fingerings: {path}."]
    for move in scene.numbers:
        there = scene.line.moves[move]
        if there.source in row:
            sentences.append(_weak_sentence(scene, move))
    return " ".join(sentences)


def _weak_sentence(scene: Scene, move: int) -> str:
    there, report = scene.line.moves[move], scene.reports[move]
    notes = f"{scene.columns[there.source].name} to {scene.columns[there.target].name}"
    gap = f", the lips cross {report.gap_cents:.0f} cents" if report.crossings else ""
    helped = ""
    if move in scene.helps:
        choice = scene.helps[move]
        fingers = " to ".join(way.fingering for way in choice.ways)
        helped = f"; {fingers} leaves {scene.percent(choice.break_risk)}"
    return f"Weak slur {scene.weak_words(move)}, {notes} in bar {scene.columns[there.source].bar}{gap}{helped}."
