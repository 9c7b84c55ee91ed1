from dataclasses import replace
from fractions import Fraction

from builders.parts import part_of
from slurwright.devices.notation import abc_to_musicxml, humdrum_to_mei
from slurwright.devices.packaged import demo_part
from slurwright.formats.sniff import open_score
from slurwright.score import Direction, DirectionKind, Jump, Part, line_of, played_measures, unrolled


def demo() -> Part:
    name, data = demo_part()
    score = open_score(data, name=name, to_mei=humdrum_to_mei, to_musicxml=abc_to_musicxml)
    return score.part(score.headings[0])


def test_it_is_as_long_as_the_performance() -> None:
    part = demo()
    order = [index for index, _ in played_measures(part)]
    assert len(order) > len(part.measures), "the demo has a repeat"
    written_out = unrolled(part)
    assert [measure.number for measure in written_out.measures] == [part.measures[index].number for index in order]
    last = written_out.measures[-1]
    assert last.onset_quarter + last.duration_quarter == sum(part.measures[index].duration_quarter for index in order)


def test_nothing_is_left_to_turn_back_to() -> None:
    written_out = unrolled(demo())
    assert [index for index, _ in played_measures(written_out)] == list(range(len(written_out.measures)))
    line = line_of(written_out)
    assert all(sound.times == 1 for sound in line.sounds)
    assert all(move.target == move.source + 1 for move in line.moves)


def test_the_same_sounds_are_played() -> None:
    part = demo()
    written, once = line_of(part), line_of(unrolled(part))
    assert len(once.sounds) == sum(sound.times for sound in written.sounds)
    assert sum(move.slurred for move in once.moves) == sum(move.times for move in written.moves if move.slurred)


def test_indices_count_through() -> None:
    written_out = unrolled(demo())
    assert [note.index for note in written_out.notes] == list(range(len(written_out.notes)))
    for note in written_out.notes:
        measure = written_out.measures[note.measure]
        assert measure.onset_quarter <= note.onset_quarter < measure.onset_quarter + measure.duration_quarter


def test_a_part_without_repeats_stays_as_it_is() -> None:
    part = unrolled(demo())
    again = unrolled(part)
    assert again == replace(part, measures=again.measures)


def test_words_of_a_jump_are_not_said_again() -> None:
    words = [
        Direction(DirectionKind.WORDS, 1, Fraction(2), "D.C. al Fine"),
        Direction(DirectionKind.WORDS, 1, Fraction(2), "dolce"),
    ]
    part = part_of(
        "C4 D4 | E4 F4", directions=words, bars={0: {"jumps": (Jump.FINE,)}, 1: {"jumps": (Jump.DA_CAPO,)}}
    )
    written_out = unrolled(part)
    assert [str(note.written) for note in written_out.notes] == ["C4", "D4", "E4", "F4", "C4", "D4"]
    assert [direction.text for direction in written_out.directions] == ["dolce"]
