"""A MIDI file becomes a part; what MIDI cannot say is said in notices; what cannot be read is refused in words."""

import io
from fractions import Fraction

import mido
import pytest

from builders.damage import damaged
from builders.notation_samples import TUNE_KEYS, midi_file
from slurwright.errors import NotationError, PartError, SlurwrightError
from slurwright.formats.midi import open_midi
from slurwright.pitch import CONCERT, Clef
from slurwright.score import Key, Part


def only_part(data: bytes, *, voice: str | None = None) -> Part:
    score = open_midi(data, where="tune.mid")
    return score.part(score.headings[0], voice=voice)


@pytest.mark.parametrize("kind", [0, 1])
def test_the_tune_comes_back(kind: int) -> None:
    score = open_midi(midi_file(kind=kind), where="tune.mid")
    assert [heading.name for heading in score.headings] == ["Euphonium"]
    part = score.part(score.headings[0])
    heard = [note for note in part.notes if not note.tied_from_previous]
    assert [note.sounding.midi for note in heard] == [key for key, _ in TUNE_KEYS]
    onset = Fraction(0)
    for note, (_, length) in zip(heard, TUNE_KEYS, strict=True):
        assert note.onset_quarter == onset
        onset += Fraction(length).limit_denominator(12)
    assert [str(note.written) for note in part.notes][:4] == ["Bb3", "C4", "D4", "Eb4"]
    assert part.notes[0].tempo_qpm == pytest.approx(84.0, abs=0.01)
    assert part.measures[0].time.beats == 3
    assert part.measures[0].key == Key(-2)
    assert part.measures[0].clef is Clef.BASS
    assert part.measures[0].transposition == CONCERT
    assert part.states_tempo
    assert not part.states_transposition
    assert part.title == ("Ferry Bell" if kind else "")


def test_a_note_over_a_bar_line_is_tied() -> None:
    part = only_part(midi_file())
    tied = [note for note in part.notes if note.tied_to_next]
    assert [(note.onset_quarter, note.duration_quarter) for note in tied] == [(Fraction(2), Fraction(1))]
    assert [note.onset_quarter for note in part.notes if note.tied_from_previous] == [Fraction(3)]


def test_places_are_lone_and_name_track_and_tick() -> None:
    part = only_part(midi_file())
    places = [note.place for note in part.notes]
    assert len(set(places)) == len(places)
    assert places[:2] == ["1:0", "1:480"]


def test_legato_overlap_is_trimmed_with_a_notice() -> None:
    part = only_part(midi_file(overlap=0.1))
    assert any("overlapped" in notice.what for notice in part.notices)
    assert sum(note.duration_quarter for note in part.notes) == 8


def test_slurs_and_dynamics_are_spoken_of() -> None:
    flat = only_part(midi_file())
    assert any("no slurs" in notice.what for notice in flat.notices)
    assert not flat.states_dynamics
    assert {note.dynamic for note in flat.notes} == {0.0}
    shaped = only_part(midi_file(velocities=(48, 80, 112)))
    assert [note.dynamic for note in shaped.notes][:3] == [-2.0, 0.0, 2.0]
    assert any("guessed from key velocity" in notice.what for notice in shaped.notices)


def test_without_a_key_the_simplest_is_taken() -> None:
    part = only_part(midi_file(key=None))
    assert part.measures[0].key == Key(-3)
    assert any("names no key" in notice.what for notice in part.notices)


def chords() -> bytes:
    file = mido.MidiFile(ticks_per_beat=480)
    track = mido.MidiTrack()
    file.tracks.append(track)
    for _ in range(4):
        for key in (58, 62, 65):
            track.append(mido.Message("note_on", note=key, velocity=70))
        for number, key in enumerate((58, 62, 65)):
            track.append(mido.Message("note_off", note=key, time=0 if number else 480))
    stream = io.BytesIO()
    file.save(file=stream)
    return stream.getvalue()


def test_chords_are_refused_but_for_their_top_or_bottom() -> None:
    with pytest.raises(PartError, match="allowed: voice top or bottom"):
        only_part(chords())
    assert {note.sounding.midi for note in only_part(chords(), voice="top").notes} == {65}
    assert {note.sounding.midi for note in only_part(chords(), voice="bottom").notes} == {58}
    assert open_midi(chords(), where="").headings[0].voices == ("top", "bottom")


def test_no_such_voice_or_part() -> None:
    score = open_midi(midi_file(), where="tune.mid")
    with pytest.raises(PartError, match="no such voice"):
        score.part(score.headings[0], voice="3")


def test_percussion_is_left_out() -> None:
    file = mido.MidiFile()
    track = mido.MidiTrack(
        [mido.Message("note_on", channel=9, note=40), mido.Message("note_off", channel=9, note=40, time=99)]
    )
    file.tracks.append(track)
    stream = io.BytesIO()
    file.save(file=stream)
    assert open_midi(stream.getvalue(), where="").headings == ()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "not a Standard MIDI File"),
        (b"MThd\0\0", "ends inside its header"),
        (midi_file()[:60], "cut short|no track"),
        (midi_file().replace(b"\0\x01\0\x02\x01\xe0", b"\0\x01\0\x02\xe7\x28"), "film frames"),
        (midi_file().replace(b"\0\x01\0\x02\x01\xe0", b"\0\x01\0\x02\0\0"), "no ticks"),
        (midi_file().replace(b"\0\x01\0\x02\x01\xe0", b"\0\x07\0\x02\x01\xe0"), "unknown kind"),
        (midi_file()[:14], "no track"),
    ],
)
def test_what_cannot_be_read_is_said(data: bytes, words: str) -> None:
    with pytest.raises(NotationError, match=words):
        open_midi(data, where="tune.mid")


def test_more_measures_than_music_has() -> None:
    file = mido.MidiFile(ticks_per_beat=1)
    track = mido.MidiTrack([mido.MetaMessage("time_signature", numerator=1, denominator=64)])
    track += [mido.Message("note_on", note=60), mido.Message("note_off", note=60, time=30_000)]
    file.tracks.append(track)
    stream = io.BytesIO()
    file.save(file=stream)
    with pytest.raises(NotationError, match="more measures"):
        only_part(stream.getvalue())


def test_damaged_files_never_raise_anything_else() -> None:
    for copy in damaged(midi_file(), count=300, seed=5):
        try:
            score = open_midi(copy, where="tune.mid")
            for heading in score.headings:
                score.part(heading)
        except SlurwrightError:
            continue
