"""Files that went wrong on the way: bytes changed, cut out, doubled or cut short, the same every time."""

import random
from collections.abc import Iterator

__all__ = ["damaged"]

_ODD = (b"\x00", b"\xff", b"<", b"&", b'"', b"\t", b"\n", b"[", b"(", b"99999999", b"-1", b"0", b"*", b"\xc3")


def damaged(data: bytes, *, count: int, seed: int) -> Iterator[bytes]:
    """Give so many damaged copies."""
    rng = random.Random(seed)
    for _ in range(count):
        copy = bytearray(data)
        for _ in range(rng.choice((1, 1, 2, 5))):
            at = rng.randrange(len(copy)) if copy else 0
            kind = rng.randrange(5)
            if kind == 0:
                copy[at : at + 1] = bytes((rng.randrange(256),))
            elif kind == 1:
                del copy[at : at + rng.randrange(1, 12)]
            elif kind == 2:
                copy[at:at] = rng.choice(_ODD)
            elif kind == 3:
                copy[at:at] = copy[at : at + rng.randrange(1, 40)]
            elif rng.random() < 0.4:
                del copy[at:]
            else:
                copy[at : at + 1] = rng.choice(_ODD)
        yield bytes(copy)
