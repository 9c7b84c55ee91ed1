"""Samples as a WAV file."""

import io

import numpy as np
from numpy.typing import NDArray

__all__ = ["wav_bytes"]


def wav_bytes(samples: NDArray[np.float32], rate_hz: float) -> bytes:
    """Write one channel as 24-bit WAV.

    Args:
        samples: full scale 1, shape=(n,).
        rate_hz: samples a second, a whole number [Hz].
    """
    import soundfile  # noqa: PLC0415  a native library that few commands need

    out = io.BytesIO()
    soundfile.write(out, samples, round(rate_hz), subtype="PCM_24", format="WAV")
    return out.getvalue()
