"""Formats: text or bytes to values and back, one room a notation or a table; none of them knows a path."""
