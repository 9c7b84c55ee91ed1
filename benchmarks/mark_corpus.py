"""Does every score of the music21 corpus come back to the byte, and stay valid where it was valid?

Run: ``PYTHONPATH=tests python benchmarks/mark_corpus.py``. Every sounding note of every MusicXML file is marked, with
and without replacing the fingerings that stand there. Prints the counts; ends with status 1 if any file failed.
"""

import sys

from builders.musicxml_schema import schema_errors
from formats.marks.test_corpus import corpus, marks_for, tree_of
from slurwright.formats.marks import mark_file, unmark_file
from slurwright.formats.musicxml.container import score_bytes


def main() -> int:
    """Print the counts and say whether all went well."""
    files, marks_put, valid, failed = corpus(), 0, 0, 0
    for path in files:
        data = path.read_bytes()
        marks = marks_for(tree_of(data), 1)
        was_valid = not schema_errors(score_bytes(data))
        valid += was_valid
        for keep in (True, False):
            out = mark_file(data, marks, format="musicxml", keep_existing=keep)
            fine = unmark_file(out, format="musicxml") == data
            fine = fine and mark_file(out, marks, format="musicxml", keep_existing=keep) == out
            fine = fine and not (was_valid and schema_errors(score_bytes(out)))
            failed += not fine
            marks_put += len(marks)
            if not fine:
                print(f"failed: {path}")
    print(f"{len(files)} files, {valid} of them valid before; {marks_put} marks put and cut; {failed} failures")
    return int(failed > 0)


if __name__ == "__main__":
    sys.exit(main())
