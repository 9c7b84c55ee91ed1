"""A take as pictures without notation: note names and bar numbers over the lanes, a row a picture."""

from slurwright.picture.shapes import Picture
from slurwright.picture.take.row import HEAD_MM, draw_lanes, draw_names
from slurwright.picture.take.scene import TakeScene
from slurwright.picture.take.stage import TakeStage, stages_of

__all__ = ["take_rows", "wanted_columns", "widths_of"]

_LEAST_MM, _MOST_MM = 7.5, 26.0
_MM_PER_ROOT_S = 14.0
"""Room for a note grows with the root of its length: a short one stays legible, a long one does not run off (ours)
[mm]."""


def take_rows(scene: TakeScene, *, width_mm: float = 180.0) -> tuple[Picture, ...]:
    """Draw a take, one picture a row; nothing where nothing was played.

    Args:
        scene: the take.
        width_mm: of each picture [mm].
    """
    stages = stages_of(scene.columns, wanted_columns(scene), widths_of(scene), width_mm=width_mm)
    return tuple(_picture(scene, stage, width_mm) for stage in stages)


def wanted_columns(scene: TakeScene) -> range:
    """The asked notes from the first to the last that sounded."""
    asked = [note.asked for note in scene.measure.following.played if note.asked is not None]
    return range(min(asked), max(asked) + 1) if asked else range(0)


def widths_of(scene: TakeScene) -> list[float]:
    """How much room each asked note wants on paper."""
    return [
        min(_MOST_MM, max(_LEAST_MM, _MM_PER_ROOT_S * note.length_s**0.5)) for note in scene.measure.passage.notes
    ]


def _picture(scene: TakeScene, stage: TakeStage, width_mm: float) -> Picture:
    shapes = list(draw_names(scene, stage, top=0.0))
    lanes, bottom = draw_lanes(scene, stage, top=HEAD_MM)
    first, last = scene.columns[stage.columns.start].bar, scene.columns[stage.columns.stop - 1].bar
    bars = f"bar {first}" if first == last else f"bars {first} to {last}"
    said = [scene.notes[index].sentence for run in scene.runs for index in scene.played(run, stage.columns)]
    return Picture(
        width_mm,
        bottom,
        (*shapes, *lanes),
        title=f"The take, {bars}",
        description=" ".join(said),
    )
