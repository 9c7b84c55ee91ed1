"""Giving the player's own file back, marked: the same bytes but for the marks, and the way back.

Laws, for every format. ``unmark(mark(data))`` is ``data`` to the byte; marking what is marked gives the same as
marking once; what others wrote in the file is never touched, unless the caller asks to replace fingerings that
stand on marked notes, and then `unmark_file` brings them back.
"""

from slurwright.formats.marks.dispatch import MARKED_FORMATS, mark_file, unmark_file
from slurwright.formats.marks.mark import Mark

__all__ = ["MARKED_FORMATS", "Mark", "mark_file", "unmark_file"]
