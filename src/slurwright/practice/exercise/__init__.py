"""Exercises: short pieces of notation for one slur, or for the lips of every day, made by rule."""
