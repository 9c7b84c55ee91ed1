"""MIDI files to play along with say what the part says: keys, times, tempo, dynamics, slurs."""

from fractions import Fraction
from io import BytesIO

import mido

from builders.parts import part_of
from slurwright.formats.midi import open_midi
from slurwright.formats.midi.writer import write_midi
from slurwright.pitch import Clef, Transposition
from slurwright.score import Direction, DirectionKind, Part, TimeSignature

NINTH = Transposition(-8, -14)


def _part(text: str, *, dynamic: str = "mf", qpm: float = 90.0, time: TimeSignature | None = None) -> Part:
    directions = [
        Direction(DirectionKind.DYNAMIC, 0, Fraction(0), dynamic),
        Direction(DirectionKind.TEMPO, 0, Fraction(0), "", qpm, "quarter", qpm),
    ]
    return part_of(text, directions=directions, transposition=NINTH, clef=Clef.TREBLE, key=2, time=time)


def _strokes(data: bytes, channel: int) -> list[tuple[int, int, int, int]]:
    """(start, end, key, velocity) on a channel [ticks]."""
    tick, down, found = 0, {}, []
    for message in mido.MidiFile(file=BytesIO(data)).tracks[0]:
        tick += message.time
        if message.type == "note_on" and message.channel == channel:
            assert message.note not in down
            down[message.note] = tick, message.velocity
        elif message.type == "note_off" and message.channel == channel:
            start, velocity = down.pop(message.note)
            found.append((start, tick, message.note, velocity))
    assert not down
    return sorted(found)


def test_a_measure_of_clicks_then_the_notes_as_they_sound() -> None:
    data = write_midi([_part("(G4 C5) G4 r")], title="Two")
    clicks = _strokes(data, 9)
    assert [start for start, *_ in clicks] == [0, 480, 960, 1440]
    assert len({key for _, _, key, _ in clicks[1:]}) == 1
    assert clicks[0][2] != clicks[1][2]
    strokes = _strokes(data, 0)
    assert [key for _, _, key, _ in strokes] == [53, 58, 53]
    assert [start for start, *_ in strokes] == [1920, 2400, 2880]


def test_a_slur_is_held_over_and_a_tongued_note_is_not() -> None:
    first, second, third = _strokes(write_midi([_part("(G4 C5) G4 r")], title="Two", count_in=False), 0)
    assert first[1] > second[0]
    assert second[1] < third[0]


def test_dynamics_are_velocities_and_softer_is_less() -> None:
    loudness = [
        _strokes(write_midi([_part("G4 C5 G4 r", dynamic=mark)], title="x"), 0)[0][3]
        for mark in ("ppp", "pp", "p", "mp", "mf", "f", "ff", "fff")
    ]
    assert loudness == sorted(set(loudness))
    assert loudness[0] > 0
    assert loudness[-1] <= 127


def test_parts_follow_each_other_each_in_its_own_tempo_and_metre() -> None:
    waltz = _part("G4 C5 G4", qpm=120.0, time=TimeSignature(3, 4))
    file = mido.MidiFile(file=BytesIO(write_midi([_part("G4 C5 G4 r"), waltz], title="Two")))
    tick, tempos, times, markers = 0, [], [], []
    for message in file.tracks[0]:
        tick += message.time
        if message.type == "set_tempo":
            tempos.append((tick, round(60e6 / message.tempo)))
        elif message.type == "time_signature":
            times.append((tick, message.numerator, message.denominator))
        elif message.type == "marker":
            markers.append(tick)
    assert tempos == [(0, 90), (3840, 120)]
    assert times == [(0, 4, 4), (3840, 3, 4)]
    assert markers == [0, 3840]


def test_ties_are_one_stroke_and_grace_notes_come_before_their_note() -> None:
    tied = _strokes(write_midi([_part("G4/4~ | G4/4")], title="x", count_in=False), 0)
    assert [(start, key) for start, _, key, _ in tied] == [(0, 53)]
    assert tied[0][1] > 3000
    grace, main = _strokes(write_midi([_part("gG4 C5/4")], title="x", count_in=False), 0)
    assert grace[0] == 0 < main[0] < 240
    assert (grace[2], main[2]) == (53, 58)


def test_the_key_is_that_of_the_sound() -> None:
    file = mido.MidiFile(file=BytesIO(write_midi([_part("G4 C5 G4 r")], title="x")))
    assert [message.key for message in file.tracks[0] if message.type == "key_signature"] == ["C"]


def test_our_own_reader_hears_the_same_notes() -> None:
    part = _part("(G4 C5) (E5 C5) | G4/2 r/2")
    opened = open_midi(write_midi([part], title="x", count_in=False), where="x")
    read = opened.part(opened.headings[0])
    assert [(note.sounding.midi, note.onset_quarter) for note in read.notes] == [
        (note.sounding.midi, note.onset_quarter) for note in part.notes
    ]


def test_titles_beyond_the_files_letters_do_not_stop_it() -> None:
    assert b"Slurs B\xe9la ? Bb" in write_midi([_part("G4/4")], title="Slurs Béla 曲 B♭")
