"""Samples as a WAV file."""

import io

import numpy as np
from numpy.typing import NDArray

__all__ = ["wav_bytes"]


def wav_bytes(samples: NDArray[np.float32], rate_hz: float, *, bits: int = 24) -> bytes:
    """Write one channel as WAV.

    Args:
        samples: full scale 1, shape=(n,).
        rate_hz: samples a second, a whole number [Hz].
        bits: of a sample, 16 or 24.
    """
    import soundfile  # noqa: PLC0415  a native library that few commands need

    out = io.BytesIO()
    soundfile.write(out, samples, round(rate_hz), subtype=f"PCM_{bits}", format="WAV")
    return out.getvalue()
