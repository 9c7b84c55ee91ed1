"""How the weights of splits, falls, tongues and breaks in ``data/listening.toml`` were fitted.

Run: ``PYTHONPATH=tests python -m benchmarks.fit_slur_weights [slurs a kind and room]`` (default 60; about half an
hour on one core); it prints the blocks anew. Slurs of every kind in four rooms, seeds from 0, all under 1000; what is
made from 1000 up tests them. A tongue and a break weigh a third more than a clean slur. Logistic regression with
a small ridge on traits brought to one scale.
"""

import sys
from dataclasses import fields
from typing import Any

import numpy as np
import scipy.optimize
from numpy.typing import NDArray

from builders.slur_followed import slur_followed
from builders.slur_takes import KINDS, slur_take
from builders.takes import ROOMS, heard
from slurwright.listen.limits import FallWeights, SplitWeights, TouchWeights
from slurwright.listen.room import room_of
from slurwright.listen.slur_window import slur_window
from slurwright.listen.splits import candidates_of, split_of
from slurwright.listen.tongue import touch_traits
from slurwright.listen.tracking import pitch_track
from slurwright.listen.verdict import fall_row, split_row, touch_row

Real = NDArray[np.float64]
RIDGE = 1.0
BROKEN_NOTES = ("split", "fell back")
LOW = {"lowest_hz": 29.0, "highest_hz": 130.0}
"""One slur in four lies on a tuba."""


def rows_of(kind: str, room: str, seed: int) -> tuple[tuple[float, ...], ...]:
    """Traits of one slur: of a split, a fall, a touch."""
    slur = slur_take(kind, room, seed=seed, **(LOW if seed % 4 == 3 else {}))
    sound = heard(slur.take)
    track = pitch_track(sound)
    following = slur_followed(slur, seed=seed)
    window = slur_window(track, following, first=0, second=1)
    first, second = slur.passage.notes
    split = split_of(sound, window, candidates_of(first, second, window))
    touch = touch_traits(sound, window, room_of(sound, track, following))
    return split_row(split.traits), fall_row(split.fall), touch_row(touch)


def fitted(rows: Real, classes: NDArray[np.intp], weights: Real) -> Real:
    """Weights of each class against class 0, shape=(classes - 1, traits)."""
    centre, spread = rows.mean(axis=0), rows.std(axis=0) + 1e-9
    centre[0], spread[0] = 0.0, 1.0
    scaled = (rows - centre) / spread
    count = int(classes.max()) + 1
    true = np.eye(count)[classes]

    def loss(flat: Real) -> tuple[float, Real]:
        free = np.vstack((np.zeros(scaled.shape[1]), flat.reshape(count - 1, -1)))
        odds = scaled @ free.T
        chances = np.exp(odds - odds.max(axis=1, keepdims=True))
        chances /= chances.sum(axis=1, keepdims=True)
        slope = ((chances - true) * weights[:, None]).T @ scaled
        slope[:, 1:] += RIDGE * free[:, 1:]
        likely = np.log(chances[np.arange(len(classes)), classes] + 1e-12)
        return float(-(weights * likely).sum() + 0.5 * RIDGE * np.sum(free[:, 1:] ** 2)), slope[1:].ravel()

    start = np.zeros((count - 1) * scaled.shape[1])
    found = scipy.optimize.minimize(loss, start, jac=True, method="L-BFGS-B").x.reshape(count - 1, -1) / spread
    found[:, 0] -= found[:, 1:] @ centre[1:]
    return np.asarray(found)


def block(name: str, kind: type[Any], weights: Real) -> str:
    lines = [f"[{name}]", *(f"{f.name} = {w:.4g}" for f, w in zip(fields(kind), weights, strict=True))]
    return "\n".join(lines)


def blocks(kinds: list[str], rows: list[tuple[tuple[float, ...], ...]]) -> str:
    """All blocks from the traits of many slurs."""
    named = np.array(kinds)
    split, fall, touch = (np.array([row[at] for row in rows]) for at in range(3))
    even = np.ones(len(named))
    whole = ~np.isin(named, BROKEN_NOTES)
    classes = np.select([named == "tongued", named == "broken"], [1, 2], 0).astype(np.intp)
    weights = np.where(classes > 0, 1.3, 1.0)
    thirds = fitted(split, (named == "split").astype(np.intp), even)
    falls = fitted(fall, (named == "fell back").astype(np.intp), even)
    touches = fitted(touch[whole], classes[whole], weights[whole])
    return "\n\n".join(
        (
            block("split", SplitWeights, thirds[0]),
            block("fall", FallWeights, falls[0]),
            block("tongued", TouchWeights, touches[0]),
            block("broke", TouchWeights, touches[1]),
        )
    )


def main(count: int) -> None:
    kinds, rows = [], []
    for room in ROOMS:
        for seed in range(min(count, 1000)):
            for kind in KINDS:
                kinds.append(kind)
                rows.append(rows_of(kind, room, seed))
        print(f"# {room}: {len(rows)} slurs so far", flush=True)
    print(blocks(kinds, rows))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 60)
