"""How does a made-up take sound? The samples, and what is true of them."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slurwright.synth.paths import paths_of
from slurwright.synth.places import Place
from slurwright.synth.rooms import placed
from slurwright.synth.script import Script
from slurwright.synth.tone import breath_noise, tone_of
from slurwright.synth.truth import Truth, truth_of

__all__ = ["RenderedTake", "render"]

_STEP_S = 0.0004
"""Step of the clock on which pitch and level are laid out: well under a period of the highest note."""
_PLAIN = Place()


@dataclass(frozen=True, slots=True, eq=False)
class RenderedTake:
    """A recording, and what is true of it."""

    samples: NDArray[np.float32]
    """Full scale 1, shape=(n,)."""
    rate_hz: float
    truth: Truth

    @property
    def length_s(self) -> float:
        """How long it is [s]."""
        return len(self.samples) / self.rate_hz


def render(
    script: Script, *, rng: np.random.Generator, rate_hz: float = 22050.0, place: Place = _PLAIN
) -> RenderedTake:
    """Play a script in a place.

    With the same state of ``rng`` the direct sound is the same in every place.

    Args:
        script: what is played.
        rng: for all that is left to chance.
        rate_hz: samples a second [Hz].
        place: room, microphone and noise; a dry, silent one if none is given.
    """
    hop = max(1, round(_STEP_S * rate_hz))
    path_rng, noise_rng, place_rng = rng.spawn(3)
    paths = paths_of(script, step_s=hop / rate_hz, rng=path_rng)
    direct = tone_of(paths, script.voice, rate_hz=rate_hz, hop=hop)
    direct += breath_noise(paths, rate_hz=rate_hz, hop=hop, rng=noise_rng)
    direct = direct[: round(script.length_s * rate_hz)]
    return RenderedTake(placed(direct, rate_hz, place=place, rng=place_rng), rate_hz, truth_of(script, paths))
