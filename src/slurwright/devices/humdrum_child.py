"""The child process that translates Humdrum: its text in, MEI out."""

from collections.abc import Mapping
from typing import Any

import verovio

from slurwright.devices.child_task import run_task

__all__ = ["translate"]


def translate(task: Mapping[str, Any]) -> dict[str, Any]:
    """Translate ``text``: ``mei``, or ``fault`` where it cannot be read; the library says why on standard error."""
    verovio.enableLog(verovio.LOG_ERROR)
    toolkit = verovio.toolkit()
    toolkit.setOptions({"xmlIdSeed": 1})
    toolkit.setInputFrom("humdrum")
    if not toolkit.loadData(task["text"]):
        return {"fault": ""}
    mei = toolkit.getMEI()
    return {"mei": mei} if mei else {"fault": ""}


if __name__ == "__main__":
    run_task(translate)
