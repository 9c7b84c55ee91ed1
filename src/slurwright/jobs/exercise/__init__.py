"""Exercises: for the slurs of a part, as pages and as sound."""
