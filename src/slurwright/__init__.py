"""Slurwright: fingerings, tuning and slurs of a brass part, planned for the instrument its player owns."""

__version__ = "0.1.0"
