"""Picture: drawings as plain shapes in millimetres; the partial ladder is the main one."""

from slurwright.picture.columns import Column, Rung, columns_of, rungs_of
from slurwright.picture.ladder import ladder
from slurwright.picture.shapes import Picture

__all__ = ["Column", "Picture", "Rung", "columns_of", "ladder", "rungs_of"]
