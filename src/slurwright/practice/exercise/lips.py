"""Lip slurs over the chain of fingerings: one rhythm and one contour, carried from fingering to fingering.

A station is the ladder of notes that one fingering offers; a slur that stays on its partial is practised the other
way round, with the two fingerings as the ladder and the rungs as stations.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from numpy.random import Generator

from slurwright.plan import Technique, Way
from slurwright.practice.exercise.rhythm import Cell, Grain, draw_cell, draw_contour, draw_metre
from slurwright.practice.exercise.rungs import Link, Rungs, Stand
from slurwright.practice.exercise.score import Played, Silence, techniques_of, whole_tempo, written_part
from slurwright.score import Hairpin, Part

__all__ = ["Drill", "Stations", "drill", "in_some_order", "ladders", "stations_on"]

_FEWEST_STATIONS = 2

Stations = Sequence[Sequence[Stand]]
"""For each station its notes from low to high."""


@dataclass(frozen=True, slots=True)
class Drill:
    """A part that carries a pattern over stations."""

    part: Part
    ways: tuple[Way, ...]
    techniques: tuple[Technique, ...]
    tempo_qpm: float
    slur: tuple[int, int] | None = None
    """The notes that the wanted slur leads between, where it is that very slur."""


def stations_on(rungs: Rungs, links: Sequence[Link], partials: Sequence[int]) -> list[list[Stand]]:
    """Give the ladder of each link that has all of its rungs in range.

    Args:
        rungs: finds the notes.
        links: fingerings of the chain.
        partials: rungs of the ladder, lowest first.

    """
    stations = []
    for link in links:
        stands = [rungs.stand(link, partial) for partial in partials]
        whole = [stand for stand in stands if stand is not None]
        if len(whole) == len(partials):
            stations.append(whole)
    return stations


def ladders(
    rungs: Rungs, links: Sequence[Link], step: tuple[int, int], usual: Sequence[int]
) -> tuple[tuple[int, ...], list[list[Stand]]]:
    """Find the longest ladder around a step of partials that is in range on enough links.

    Args:
        rungs: finds the notes.
        links: fingerings of the chain.
        step: the lower and the upper partial.
        usual: partials that may stand beside them.

    Returns:
        Its partials and its stations; the step alone where no neighbour is in range.

    """
    low, high = step
    below = [partial for partial in usual if 1 < partial < low][-1:]
    above = [partial for partial in usual if partial > high][:1]
    for partials in ((*below, low, high, *above), (*below, low, high), (low, high, *above)):
        if len(partials) > len(step):
            stations = stations_on(rungs, links, partials)
            if len(stations) > max(_FEWEST_STATIONS, len(links) // 2):
                return partials, stations
    return step, stations_on(rungs, links, step)


def in_some_order(stations: Stations, rng: Generator) -> Stations:
    """Carry a pattern down the chain, up it, or down by every other link and back by those between.

    Args:
        stations: in the order of the chain.
        rng: makes the choice.

    """
    turn = int(rng.integers(3))
    if turn == 0:
        return stations
    if turn == 1:
        return stations[::-1]
    return [*stations[::2], *stations[1::2][::-1]]


def drill(
    stations: Stations,
    rungs: Rungs,
    rng: Generator,
    *,
    step: tuple[int, int],
    grain: Grain,
    tempo_qpm: float,
    dynamic: str,
    title: str,
    swelling: bool = False,
    whole: bool | None = None,
    technique: Technique = Technique.PLAIN,
    step_s: float | None = None,
    slowest_qpm: float = 40.0,
) -> Drill:
    """Write a pattern over stations.

    Args:
        stations: at least one; all have the same number of rungs.
        rungs: knows the reading.
        rng: makes rhythm and contour.
        step: places in the ladder of the wanted step, in its direction.
        grain: how short the values are.
        tempo_qpm: the tempo, or the quickest one where `step_s` is said [quarters per minute].
        dynamic: mark at the beginning.
        title: over it.
        swelling: True swells and fades over each station.
        whole: True joins each station with one slur, False joins notes two by two; None leaves it to the draw.
        technique: how the slurs are made.
        step_s: how long most notes are to last, as far as no tempo gets slower than `slowest_qpm`; None for any [s].
        slowest_qpm: the slowest tempo [quarters per minute].

    """
    cell = draw_cell(draw_metre(grain, rng), grain, rng, whole=whole)
    sounding = [beat for beat in cell.beats if not beat.silent]
    contour = draw_contour(len(sounding), len(stations[0]), rng, step=step, joined=[beat.joined for beat in sounding])
    if step_s is not None:
        tempo_qpm = min(tempo_qpm, 60.0 * float(_usual_length(cell)) / step_s)
    tempo_qpm = whole_tempo(max(slowest_qpm, tempo_qpm), cell.metre)
    events: list[Played | Silence] = []
    for station in stations:
        notes = iter(contour)
        for beat in cell.beats:
            if beat.silent:
                events.append(Silence(beat.length_quarter))
                continue
            stand = station[next(notes)]
            events.append(Played(beat.length_quarter, stand.written, stand.way, beat.joined, technique))
    part, ways = written_part(
        events,
        rungs.reading,
        name=rungs.horn.name,
        title=title,
        metre=cell.metre,
        tempo_qpm=tempo_qpm,
        dynamic=dynamic,
        swells=_swells(cell, len(stations)) if swelling else (),
    )
    return Drill(part, ways, techniques_of(part, [technique] * len(part.notes)), tempo_qpm)


def _usual_length(cell: Cell) -> Fraction:
    """Value of most of the moving notes; the shorter one of two [quarters]."""
    lengths = [beat.length_quarter for beat in cell.beats if not beat.silent][:-1]
    return min(sorted(set(lengths)), key=lambda length: -lengths.count(length))


def _swells(cell: Cell, count: int) -> list[Hairpin]:
    """Swell up to the middle of each cell's notes and fade to where the last one ends."""
    places = [Fraction(0)]
    for beat in cell.beats:
        places.append(places[-1] + beat.length_quarter)
    middle, end = places[cell.sounding // 2], places[cell.sounding]
    starts = [number * places[-1] for number in range(count)]
    return [
        pin
        for start in starts
        for pin in (Hairpin(start, start + middle, grows=True), Hairpin(start + middle, start + end, grows=False))
    ]
