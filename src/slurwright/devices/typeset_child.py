"""The child process that sets sheets: a document's source and its inputs in, one PDF out."""

import base64
from collections.abc import Mapping
from typing import Any

import typst

from slurwright.devices.child_task import run_task

__all__ = ["typeset"]


def typeset(task: Mapping[str, Any]) -> dict[str, Any]:
    """Set ``source`` with ``inputs`` and the fonts in ``font_paths``: ``pdf`` in base 64, or why not as ``fault``."""
    fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=task["font_paths"])
    compiler = typst.Compiler(task["source"].encode(), font_paths=fonts, sys_inputs=task["inputs"])
    try:
        pdf = compiler.compile(format="pdf")
    except typst.TypstError as fault:
        return {"fault": str(fault)}
    if not isinstance(pdf, bytes):
        return {"fault": "the typesetter gave no document"}
    return {"pdf": base64.b64encode(pdf).decode("ascii")}


if __name__ == "__main__":
    run_task(typeset)
