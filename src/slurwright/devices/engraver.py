"""Pages and prints of a part: the engraver and the typesetter, each in a child process with limits."""

import base64
import json
import signal
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from slurwright.devices.engraver_fonts import EngraverFonts, text_font_folder
from slurwright.errors import EngravingError
from slurwright.formats.pages.look import engraver_options
from slurwright.formats.pages.mei_page import page_mei
from slurwright.formats.pages.request import PageRequest
from slurwright.formats.pages.sheets import sheet_inputs, sheet_source
from slurwright.formats.pages.svg_clean import clean_pages

__all__ = ["EngravingLimits", "engrave_pdf", "engrave_svg"]


@dataclass(frozen=True, slots=True)
class EngravingLimits:
    """What drawing may take; far above what a long part needs."""

    memory_bytes: int = 2_000_000_000
    cpu_s: int = 60
    wall_s: float = 90.0


_USUAL = EngravingLimits()


def engrave_svg(request: PageRequest, *, limits: EngravingLimits = _USUAL) -> tuple[str, ...]:
    """Draw a part with its row and marks: one SVG a page.

    Args:
        request: what goes on the stand.
        limits: what drawing may take.

    Raises:
        EngravingError: the part cannot be drawn, or drawing took more than it may.

    """
    follow_breaks = any(measure.new_section for measure in request.part.measures)
    answer = _ask(
        "engrave_child",
        {
            "mei": page_mei(request),
            "options": engraver_options(request.paper, follow_breaks=follow_breaks),
        },
        limits,
    )
    return clean_pages(answer["pages"], request, font=_fonts())


def engrave_pdf(request: PageRequest, *, limits: EngravingLimits = _USUAL) -> bytes:
    """Print a part: its pages, its pictures, the choices at weak slurs, legend and cautions as one PDF.

    Args:
        request: what goes on the stand.
        limits: what drawing may take, for the drawing and the setting each.

    Raises:
        EngravingError: the part cannot be drawn, or drawing took more than it may.

    """
    pages = engrave_svg(request, limits=limits)
    answer = _ask(
        "typeset_child",
        {
            "source": sheet_source(),
            "inputs": dict(sheet_inputs(request, pages)),
            "font_paths": [str(text_font_folder())],
        },
        limits,
    )
    return base64.b64decode(answer["pdf"])


@cache
def _fonts() -> EngraverFonts:
    return EngraverFonts()


def _ask(child_module: str, task: Mapping[str, Any], limits: EngravingLimits) -> dict[str, Any]:
    """Have a child process do a task.

    Raises:
        EngravingError: it died, took too long, or said why it cannot.

    """
    message = json.dumps({**task, "memory_bytes": limits.memory_bytes, "cpu_s": limits.cpu_s})
    try:
        child = subprocess.run(  # noqa: S603 - our own module, no shell, the task goes through its input
            [sys.executable, "-m", f"slurwright.devices.{child_module}"],
            input=message.encode(),
            capture_output=True,
            timeout=limits.wall_s,
            check=False,
        )
    except subprocess.TimeoutExpired as late:
        raise EngravingError(
            "drawing the pages took too long", got=f"more than {limits.wall_s:g} s", allowed="a shorter part"
        ) from late
    if child.returncode != 0:
        raise EngravingError("the engraver gave up on this part", got=_how_it_ended(child))
    answer: dict[str, Any] = json.loads(child.stdout)
    if "fault" in answer:
        raise EngravingError(answer["fault"])
    return answer


def _how_it_ended(child: "subprocess.CompletedProcess[bytes]") -> str:
    if child.returncode < 0:
        name = signal.Signals(-child.returncode).name
        over = name in {"SIGXCPU", "SIGKILL"}
        return "it used more processor time or memory than it may" if over else f"it was stopped by signal {name}"
    last = child.stderr.decode(errors="replace").strip().splitlines()[-1:]
    return last[0] if last else f"exit status {child.returncode}"
