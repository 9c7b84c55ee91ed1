"""The child process that draws: MEI and options in, one SVG a page out.

The engraver's library may die on odd values, so it never runs in the process that the player talks to.
"""

from collections.abc import Mapping
from typing import Any

import verovio

from slurwright.devices.child_task import run_task

__all__ = ["draw"]


def draw(task: Mapping[str, Any]) -> dict[str, Any]:
    """Engrave ``mei`` with ``options``: the drawings as ``pages``, or why not as ``fault``.

    With ``several`` in place of ``mei`` each of them is engraved: their drawings, one list each, as ``each``.
    """
    verovio.enableLog(verovio.LOG_ERROR)
    each = []
    for mei in task.get("several") or [task["mei"]]:
        toolkit = verovio.toolkit()
        toolkit.setOptions(task["options"])
        if not toolkit.loadData(mei):
            return {"fault": "notation that it could not read"}
        each.append([toolkit.renderToSVG(page) for page in range(1, toolkit.getPageCount() + 1)])
    return {"each": each} if "several" in task else {"pages": each[0]}


if __name__ == "__main__":
    run_task(draw)
