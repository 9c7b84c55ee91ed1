"""Small scores, one a feature: what the reader makes of each."""

from fractions import Fraction
from pathlib import Path

import pytest

from builders.musicxml_schema import schema_errors
from slurwright.errors import PartError
from slurwright.formats.musicxml import open_musicxml
from slurwright.pitch import Clef, Transposition
from slurwright.score import (
    DirectionKind,
    Jump,
    Key,
    NoteValue,
    Part,
    Slur,
    TimeSignature,
    Tuplet,
    line_of,
    played_measures,
)

SCORES = Path(__file__).parent / "scores"


def read(name: str, *, part: int = 0, voice: str | None = None) -> Part:
    score = open_musicxml((SCORES / f"{name}.musicxml").read_bytes(), where=name)
    return score.part(score.headings[part], voice=voice)


def written(part: Part) -> str:
    return " ".join(str(note.written) for note in part.notes)


def sounding(part: Part) -> str:
    return " ".join(str(note.sounding) for note in part.notes)


def said(part: Part) -> str:
    return "\n".join(str(notice) for notice in part.notices)


@pytest.mark.parametrize("path", sorted(SCORES.iterdir()), ids=lambda path: path.stem)
def test_the_scores_are_valid_musicxml(path: Path) -> None:
    assert schema_errors(path.read_bytes()) == []


def test_a_transposition_that_changes_in_the_piece() -> None:
    part = read("transposition_changes")
    assert written(part) == "C5 C5 C5 D5"
    assert sounding(part) == "Bb4 F4 F4 C4"
    assert part.states_transposition
    assert [m.transposition for m in part.measures] == [
        Transposition(-1, -2),
        Transposition(-4, -7),
        Transposition(-4, -7),
    ]
    assert "measure 3: a change of transposition inside a measure" in said(part)


def test_a_transposition_in_semitones_alone_is_spelled_by_its_usual_interval() -> None:
    assert sounding(read("transposition_without_steps")) == "Bb4 Eb5"


def test_divisions_that_change_inside_a_measure() -> None:
    part = read("divisions_change")
    third = Fraction(1, 3)
    assert [note.onset_quarter for note in part.notes] == [0, 1, 1.5, 2, 2 + third, 2 + 2 * third, 3, 4, 6]
    assert [measure.duration_quarter for measure in part.measures] == [4, 4]
    assert part.notes[3].value == NoteValue("eighth", 0, Tuplet(3, 2, starts=True))
    assert part.notes[5].value == NoteValue("eighth", 0, Tuplet(3, 2, ends=True))


def test_voices_that_sound_together_are_offered() -> None:
    with pytest.raises(
        PartError, match=r"several voices; choose a voice; got measures 1, 4; allowed: voice 1, voice 2"
    ):
        read("two_voices")


def test_the_second_voice_shares_the_measures_in_which_it_is_not_written() -> None:
    assert written(read("two_voices", voice="1")) == "C5 D5 E5 F5 G5 A5 B5"
    lower = read("two_voices", voice="2")
    assert written(lower) == "C4 F5 G5 A5 B4 A4"
    assert "the line that both players share" in said(lower)
    assert written(read("two_voices", voice="bottom")) == written(lower)
    assert written(read("two_voices", voice="top")) == written(read("two_voices", voice="1"))


def test_a_voice_that_is_not_there_is_refused_with_the_others() -> None:
    with pytest.raises(PartError, match="no such voice with notes; got '7'; allowed: voice 1, voice 2"):
        read("two_voices", voice="7")


def test_voices_in_turn_are_one_line() -> None:
    part = read("voices_in_turn")
    assert written(part) == "C5 D5 E5 F5"
    assert "never sound together" in said(part)
    assert part.rests == ()


def test_chords_are_refused_with_their_measures() -> None:
    with pytest.raises(
        PartError, match=r"several notes at once.*choose a voice; got measures 1, 3; allowed: top, bottom"
    ):
        read("chords")


def test_the_upper_or_lower_note_of_chords_keeps_the_signs_of_the_stem() -> None:
    top, bottom = read("chords", voice="top"), read("chords", voice="bottom")
    assert (written(top), written(bottom)) == ("E5 D5 F5 G4", "C5 D5 F5 C4")
    assert top.slurs == bottom.slurs == (Slur(0, 1),)
    assert top.notes[0].articulations == {"accent"}
    assert (top.notes[0].place, bottom.notes[0].place) == ("note:1", "note:0")


def test_slurs_nest_cross_bars_and_say_when_they_do_not_close() -> None:
    part = read("slurs")
    assert part.slurs == (Slur(0, 4), Slur(1, 2), Slur(3, 4, dashed=True), Slur(4, 5), Slur(5, 6))
    assert "measure 2: a slur that begins here never ends" in said(part)
    assert "measure 3: a slur that ends here never begins" in said(part)


def test_ties_join_over_bars_and_drop_what_leads_nowhere() -> None:
    part = read("ties")
    assert [note.tied_to_next for note in part.notes] == [True, True, False, False, False, False]
    assert "measure 2: a tie leads to no note of the same pitch" in said(part)
    assert len(line_of(part).sounds) == 4


def test_hidden_signs_and_hidden_notes_are_none_of_the_players() -> None:
    part = read("hidden_signs")
    assert written(part) == "C4 D4 F4"
    assert part.notes[0].articulations == {"accent"}
    assert part.slurs == ()
    assert "measure 2: hidden notes are passed over" in said(part)
    assert [note.place for note in part.notes] == ["note:0", "note:1", "note:3"]


def test_signs_at_notes() -> None:
    part = read("signs_at_notes")
    assert [sorted(note.articulations) for note in part.notes[:4]] == [
        ["fermata", "marcato", "staccato"],
        ["breath", "tenuto"],
        [],
        ["stopped"],
    ]
    assert [sorted(note.ornaments) for note in part.notes[2:4]] == [["tremolo-3", "trill"], ["falloff", "glissando"]]
    assert [note.beam for note in part.notes[3:7]] == ["none", "begin", "end", "none"]
    assert part.notes[6].shown_accidental == "natural"
    assert [note.dynamic for note in part.notes[:4]] == [0, 0, 1, 0]


def test_lyrics_keep_hyphens_and_elisions() -> None:
    assert [note.lyrics for note in read("lyrics").notes] == [("lan-",), ("tern o",)]


def test_grace_notes_stand_before_what_they_lead_to() -> None:
    part = read("grace_notes")
    assert written(part) == "C4 B4 C5 D5 E5 F5 G5 A5 B5"
    assert [note.grace for note in part.notes] == [False, True, True, True, False, False, True, True, False]
    assert [note.grace_slash for note in part.notes[1:4]] == [True, False, False]
    assert [note.onset_quarter for note in part.notes] == [0, 2, 2, 2, 2, 4, 8, 8, 8]


def test_cues_and_unpitched_notes_become_silence_and_notices() -> None:
    part = read("cues_and_unpitched")
    assert written(part) == "E5"
    assert [(float(rest.onset_quarter), float(rest.duration_quarter)) for rest in part.rests] == [(0, 4), (4, 2)]
    assert said(part).splitlines() == [
        "measure 1: cue notes are passed over",
        "measure 2: unpitched notes are passed over",
    ]


def test_repeats_and_endings() -> None:
    part = read("repeats_and_endings")
    assert "".join("abcde"[index] for index, _ in played_measures(part)) == "ababacde"
    assert [measure.endings for measure in part.measures] == [(), (1, 2), (3,), (3,), ()]
    assert [measure.double_bar for measure in part.measures] == [False, False, False, True, False]
    assert [measure.final_bar for measure in part.measures] == [False, False, False, False, True]


@pytest.mark.parametrize(
    ("name", "order"), [("jumps", "abcdbce"), ("jumps_in_words", "aba"), ("bare_coda_signs", "abac")]
)
def test_jumps(name: str, order: str) -> None:
    assert "".join("abcde"[index] for index, _ in played_measures(read(name))) == order


def test_dynamics_and_hairpins() -> None:
    part = read("dynamics_and_hairpins")
    assert [note.dynamic for note in part.notes] == pytest.approx([-2, -1.25, -0.5, 0.25, 1, 1, 1, -2, -2, -2.5, -3])
    dynamics = [d.text for d in part.directions if d.kind is DirectionKind.DYNAMIC]
    assert dynamics == ["p", "f", "più f", "fp", "pp"]
    assert part.states_dynamics


def test_a_level_for_playback_alone_counts_but_is_not_printed() -> None:
    part = read("playback_levels")
    assert part.notes[0].dynamic == -2
    assert [(d.text, d.printed) for d in part.directions] == [("dolce", True), ("p", False)]


def test_tempo_by_word_by_mark_and_by_playback() -> None:
    part = read("tempo")
    assert [note.tempo_qpm for note in part.notes] == [80, 120, 144, 90, 120, 120, 120]
    marks = [d for d in part.directions if d.kind is DirectionKind.TEMPO]
    assert [(d.text, d.tempo_unit, d.tempo_per_minute) for d in marks] == [
        ("Andante", "", None),
        ("", "half", 60.0),
        ("Vivo", "", None),
        ("", "", None),
        ("", "quarter.", 80.0),
        ("a tempo", "", None),
    ]
    assert [d.printed for d in marks] == [True, True, True, False, True, True]
    assert part.states_tempo


def test_clefs_and_their_octave_signs() -> None:
    part = read("clefs")
    assert [m.clef for m in part.measures] == [
        Clef.BASS,
        Clef.TENOR,
        Clef.ALTO,
        Clef.TREBLE,
        Clef.TREBLE,
        Clef.BASS,
    ]
    assert sounding(part) == "C3 C4 C4 C4 D4 D3 E3"
    assert written(part) == "C3 C4 C4 C5 D5 D3 E3"
    assert part.measures[3].transposition == Transposition(-7, -12)
    assert "measure 4: the octave sign of the clef is read as a transposition" in said(part)
    assert "measure 5: a change of clef inside a measure" in said(part)


def test_keys_and_times() -> None:
    part = read("keys_and_times")
    assert [m.key for m in part.measures] == [Key(-3), Key(2), Key(0)]
    assert [m.time for m in part.measures[:2]] == [TimeSignature(3, 4), TimeSignature(5, 8, groups=(3, 2))]
    assert "measure 3: a key signature of single accidentals" in said(part)
    assert "measure 3: senza misura" in said(part)


@pytest.mark.parametrize("name", ["top_part_directions", "time_wise"])
def test_what_stands_in_the_top_part_alone_reaches_the_others(name: str) -> None:
    part = read(name, part=1)
    assert part.name == "Cornet"
    assert [note.tempo_qpm for note in part.notes] == [126, 68, 68]
    assert [(d.kind, d.text) for d in part.directions] == [
        (DirectionKind.REHEARSAL, "A"),
        (DirectionKind.TEMPO, "Allegro"),
        (DirectionKind.TEMPO, "Adagio"),
    ]
    assert [m.jumps for m in part.measures] == [(Jump.SEGNO,), (), (Jump.DAL_SEGNO,)]


def test_places_count_the_notes_of_the_whole_file_in_its_order() -> None:
    assert [note.place for note in read("top_part_directions", part=1).notes] == ["note:3", "note:4", "note:5"]
    assert [note.place for note in read("time_wise", part=1).notes] == ["note:1", "note:3", "note:5"]


def test_a_pickup_is_as_long_as_it_is_written() -> None:
    part = read("pickup")
    assert [m.number for m in part.measures] == ["0", "1", "2"]
    assert [m.duration_quarter for m in part.measures] == [1, 3, 2]
    assert [part.beat_of(note) for note in part.notes] == [3, 1, 1]
    assert [m.new_section for m in part.measures] == [False, False, True]


def test_rests_written_and_left_out() -> None:
    part = read("rests")
    assert [(r.measure, float(r.duration_quarter), r.value) for r in part.rests] == [
        (0, 4, None),
        (1, 1, NoteValue("quarter")),
        (1, 2, NoteValue("half")),
    ]
    assert [rest.place for rest in part.rests] == ["note:0", "note:1", ""]


def test_fingerings_of_the_file_are_told_from_ours() -> None:
    part = read("existing_fingerings")
    assert [note.fingerings for note in part.notes] == [("1-2",), (), ()]
    assert part.directions == ()


def test_each_staff_of_a_part_keeps_its_clef() -> None:
    assert read("two_staves", voice="5").measures[0].clef is Clef.BASS
    assert read("two_staves", voice="1").measures[0].clef is Clef.TREBLE
    assert written(read("two_staves", voice="5")) == "C3"


def test_headings_and_titles() -> None:
    score = open_musicxml((SCORES / "four_parts.musicxml").read_bytes(), where="four")
    assert [(h.number, h.id, h.name, h.voices) for h in score.headings] == [
        (1, "P1", "Cornet 1", ("1",)),
        (2, "P2", "Cornet 2", ("1",)),
        (3, "P3", "Tenor Horn", ("1",)),
        (4, "P4", "Bass", ("1",)),
    ]
    part = score.part(score.headings[2])
    assert (part.title, part.composer, part.name, part.part_id) == ("Weir Street", "A. Player", "Tenor Horn", "P3")
    with pytest.raises(PartError, match="no notes"):
        score.part(score.headings[3])


def test_a_file_that_says_nothing_is_said_to() -> None:
    part = read("nothing_said")
    assert not part.states_transposition
    assert not part.states_dynamics
    assert not part.states_tempo
    assert part.notices == ()
