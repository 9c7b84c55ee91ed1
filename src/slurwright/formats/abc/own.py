"""What our own marks look like in ABC text, so that the reader passes over what the marker wrote.

A mark is a remark field of ABC 2.1 followed by one annotation. A fingering that a mark replaces is kept inside a
remark of its own, so that it can come back.
"""

import re

__all__ = ["ANNOTATION_START", "REPLACED_START", "without_marks"]

ANNOTATION_START = b"[r:slurwright]"
REPLACED_START = b"[r:slurwright was "

_ANNOTATION = re.compile(re.escape(ANNOTATION_START) + rb'"[_^][^"\n]*"')
_REPLACED = re.compile(re.escape(REPLACED_START) + rb"([^\]\n]*)\]")


def without_marks(data: bytes) -> bytes:
    """Take our own marks out of ABC text, byte for byte."""
    if b"[r:slurwright" not in data:
        return data
    return _REPLACED.sub(rb"\1", _ANNOTATION.sub(b"", data))
