"""What is written is valid MusicXML 4.0, and reading it gives the part again."""

from dataclasses import fields, replace
from typing import Any

from hypothesis import HealthCheck, given, settings

from builders.any_part import parts
from builders.musicxml_schema import schema_errors
from slurwright.formats.musicxml import open_musicxml
from slurwright.formats.musicxml_writer import write_musicxml
from slurwright.score import Part


def reread(data: bytes) -> Part:
    opened = open_musicxml(data, where="written.musicxml")
    (heading,) = opened.headings
    return opened.part(heading)


def without_places(part: Part) -> Part:
    notes = tuple(replace(note, place="") for note in part.notes)
    rests = tuple(replace(rest, place="") for rest in part.rests)
    if not any(note.shown_accidental for note in part.notes):
        return replace(part, notes=notes, rests=rests, notices=())
    return replace(part, notes=notes, rests=rests, notices=())


def assert_same(got: Part, want: Part) -> None:
    """Compare field by field, so that a failure names what differs."""
    for name in (each.name for each in fields(Part)):
        ours, theirs = getattr(got, name), getattr(want, name)
        if isinstance(ours, tuple):
            pairs: list[tuple[Any, Any]] = list(zip(ours, theirs, strict=False))
            for at, (one, other) in enumerate(pairs):
                assert one == other, f"{name} {at}"
            assert len(ours) == len(theirs), name
        assert ours == theirs, name


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(parts())
def test_law_reading_what_is_written_gives_the_part_again(part: Part) -> None:
    data = write_musicxml(part)
    assert schema_errors(data) == []
    again = reread(data)
    if not any(note.shown_accidental for note in part.notes):
        again = replace(again, notes=tuple(replace(note, shown_accidental="") for note in again.notes))
    assert_same(without_places(again), without_places(part))
    assert write_musicxml(reread(data)) == data
