"""Figures of slurs come near the truth in every room, and their intervals widen with it."""

import numpy as np
import pytest

from builders.slur_takes import SlurTake, slur_take
from builders.takes import ROOMS, heard, place_named
from slurwright.listen.figure import Figure, Hidden, Measured, Veil
from slurwright.listen.measures import Room
from slurwright.listen.slur_figures import SlurFigures, answer_of, slur_figures
from slurwright.listen.slur_lags import lag_map
from slurwright.listen.slur_moves import Settling, moves_between
from slurwright.listen.slur_sound import SlurSound
from slurwright.listen.slur_tail import Answer, without_tail
from slurwright.listen.slur_widths import Weighed, measured_of
from slurwright.listen.slur_window import SlurWindow

REGISTERS = {"high": (240.0, 1000.0), "low": (45.0, 95.0)}
SEEDS = range(1200, 1203)
KINDS = ("good", "dip", "scoop")


def window_of(slur: SlurTake) -> SlurWindow:
    first, second = slur.take.truth.notes
    return SlurWindow(first.hz, second.hz, first.onset_s, second.onset_s + 0.004, second.offset_s)


def room_named(room: str, seed: int) -> Room:
    true = place_named(room, np.random.default_rng(seed)).room
    if true is None:
        return Room(Hidden(Veil.SOFT), Figure(28.0, 20.0, 33.0))
    return Room(
        Figure(true.decay_s, 0.9 * true.decay_s, 1.1 * true.decay_s),
        Figure(true.direct_db, true.direct_db - 2.0, true.direct_db + 2.0),
    )


def measure(kind: str, room: str, seed: int, register: str) -> tuple[SlurTake, SlurFigures]:
    lowest, highest = REGISTERS[register]
    slur = slur_take(kind, room, seed=seed, lowest_hz=lowest, highest_hz=highest)
    return slur, slur_figures(heard(slur.take), window_of(slur), room_named(room, seed))


def errors(pairs: list[tuple[SlurTake, SlurFigures]], name: str) -> list[float]:
    shown = [(getattr(figures, name), getattr(slur.truth, name)) for slur, figures in pairs]
    return [abs(figure.value - truth) for figure, truth in shown if isinstance(figure, Figure)]


@pytest.fixture(scope="module")
def rooms() -> dict[str, list[tuple[SlurTake, SlurFigures]]]:
    return {
        room: [measure(KINDS[seed % 3], room, seed, register) for seed in SEEDS for register in REGISTERS]
        for room in ROOMS
    }


@pytest.mark.parametrize(
    ("room", "time_ms", "dip_db", "scoop_cents"),
    [("dry", 4.0, 1.2, 8.0), ("near", 5.0, 2.4, 8.0), ("mid", 9.0, 3.5, 12.0), ("laptop", 13.0, 3.5, 19.0)],
)
def test_median_errors(
    rooms: dict[str, list[tuple[SlurTake, SlurFigures]]], room: str, time_ms: float, dip_db: float, scoop_cents: float
) -> None:
    assert np.median(errors(rooms[room], "time_ms")) < time_ms
    assert np.median(errors(rooms[room], "dip_db")) < dip_db
    assert np.median(errors(rooms[room], "scoop_cents")) < scoop_cents


def test_intervals_hold_the_truth(rooms: dict[str, list[tuple[SlurTake, SlurFigures]]]) -> None:
    held = [
        figure.low <= getattr(slur.truth, name) <= figure.high
        for pairs in rooms.values()
        for slur, figures in pairs
        for name in ("time_ms", "dip_db", "scoop_cents")
        if isinstance(figure := getattr(figures, name), Figure)
    ]
    assert np.mean(held) > 0.8


def test_a_break_is_silent_and_tells_no_time() -> None:
    slur, figures = measure("broken", "dry", 1203, "high")
    assert isinstance(figures.silence_ms, Figure)
    assert figures.silence_ms.value == pytest.approx(slur.truth.silence_ms, abs=15.0)
    assert figures.time_ms == Hidden(Veil.SOFT)


def test_same_sound_same_figures() -> None:
    assert measure("dip", "mid", 1204, "high")[1] == measure("dip", "mid", 1204, "high")[1]


def test_order_of_the_edges() -> None:
    _, figures = measure("good", "near", 1205, "high")
    assert figures.left_s <= figures.half_s <= figures.reached_s


def half_width(figure: Measured) -> float:
    assert isinstance(figure, Figure)
    return figure.high - figure.value


def test_intervals_widen_with_the_room() -> None:
    weighed = Weighed(np.array([10.0, 12.0]), np.array([0.5, 0.5]))
    widths = [
        half_width(measured_of("dip_db", weighed, share=share, period_ms=3.0)) for share in (0.0, 0.06, 0.25, 0.5)
    ]
    assert widths == sorted(widths)
    assert widths[-1] > widths[0] + 1.0


def test_a_figure_the_room_hides() -> None:
    weighed = Weighed(np.array([10.0, 150.0]), np.array([0.5, 0.5]))
    assert measured_of("time_ms", weighed, share=0.3, period_ms=3.0) == Hidden(Veil.ROOM)
    assert measured_of("time_ms", weighed, share=0.0, period_ms=17.0) == Hidden(Veil.SHORT)


def test_an_unknown_room_is_taken_for_a_common_one() -> None:
    assert answer_of(Room(Hidden(Veil.UNHEARD), Hidden(Veil.UNHEARD))).share > 0.0
    assert answer_of(Room(Hidden(Veil.SOFT), Figure(27.0, 20.0, 33.0))).share == 0.0


def test_one_cycle_passes_in_the_lag() -> None:
    times = np.arange(-0.1, 0.1, 0.0005)
    moves = moves_between(
        200.0, 300.0, length_s=np.array([0.05]), way=np.array([0]), settling=Settling(), times_s=times
    )
    cycles = np.concatenate(([0.0], np.cumsum(0.5 * (moves.hz[0, 1:] + moves.hz[0, :-1]) * 0.0005)))
    inside = slice(30, -30)
    half = moves.lag_s[0] / 2
    passed = np.interp(times + half, times, cycles) - np.interp(times - half, times, cycles)
    assert passed[inside] == pytest.approx(np.ones(len(times))[inside], abs=0.01)
    assert moves.hz[0, 0] == pytest.approx(200.0)
    assert moves.hz[0, -1] == pytest.approx(300.0)


def test_alike_where_the_period_is_right() -> None:
    rate = 12000.0
    wave = sum(np.sin(2 * np.pi * 200.0 * n * np.arange(6000) / rate) for n in range(1, 6))
    lags = lag_map(SlurSound(np.asarray(wave), rate, 0.0), 200.0, 240.0)
    steps = np.arange(20, lags.unlike.shape[1] - 20)
    assert lags.along(np.array(1.0 / 200.0), steps).mean() < 0.01
    assert lags.along(np.array(1.0 / 230.0), steps).mean() > 0.2


def test_a_tail_is_taken_out() -> None:
    rate, left, first, second = 20000.0, 0.3, 300.0, 400.0
    times = np.arange(int(0.7 * rate)) / rate
    old, new = (sum(np.sin(2 * np.pi * hz * n * times + n) / n for n in range(1, 6)) for hz in (first, second))
    dying = 0.3 * np.exp(-6.9 * np.maximum(times - left, 0.0) / 0.5) * old
    direct = np.where(times < left, old, 0.0) + np.where(times > left + 0.01, new, 0.0)
    clean = without_tail(
        SlurSound(direct + np.where(times < left, 0.0, dying), rate, 0.0),
        Answer(0.5, 0.1),
        first_hz=first,
        second_hz=np.full(len(times), second),
        left_s=left,
        reached_s=left + 0.015,
    )
    after = (times > left + 0.015) & (times < left + 0.1)
    before_db, after_db = (10 * np.log10(np.mean(np.square(part[after]))) for part in (dying, clean.samples - direct))
    assert after_db < before_db - 10.0
