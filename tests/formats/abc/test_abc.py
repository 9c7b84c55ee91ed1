"""ABC is read with everything in it, each note traced back to its letter; traps and faults are said in words."""

from fractions import Fraction

import pytest

from builders.converters import abc_here
from builders.damage import damaged
from builders.notation_samples import ABC
from slurwright.errors import NotationError, PartError, SlurwrightError
from slurwright.formats.abc import open_abc
from slurwright.pitch import Clef, Transposition
from slurwright.score import Hairpin, Part, Slur

HEADER = "X:1\nM:4/4\nL:1/4\nK:C\n"


def read(text: str | bytes, *, at: int = 0, voice: str | None = None) -> Part:
    data = text.encode() if isinstance(text, str) else text
    score = open_abc(data, where="tune.abc", to_musicxml=abc_here)
    return score.part(score.headings[at], voice=voice)


def letters(part: Part, data: bytes) -> list[str]:
    """The letter that stands at each note's place."""
    places = [int(note.place.split(".")[0]) for note in part.notes]
    return [data[place:].decode("latin-1").lstrip("^_=[")[0].upper() for place in places]


def said(part: Part) -> str:
    return "\n".join(str(notice) for notice in part.notices)


def test_the_tune_is_read() -> None:
    part = read(ABC)
    assert (part.name, part.title, part.composer) == ("Euphonium", "Ferry Bell", "A. Harbourer")
    assert [str(note.written) for note in part.notes][:5] == ["Bb3", "C4", "D4", "Eb4", "F4"]
    assert part.slurs == (Slur(0, 2), Slur(7, 8), Slur(9, 10), Slur(13, 15))
    assert part.hairpins == (Hairpin(Fraction(9), Fraction(11), grows=True),)
    assert part.measures[0].clef is Clef.BASS
    assert [measure.endings for measure in part.measures] == [(), (), (), (1,), (2,), (2,)]
    assert part.measures[3].repeat_ends == 2
    assert [note.grace for note in part.notes].count(True) == 2
    assert part.notes[0].tempo_qpm == 84.0
    assert part.notes[0].dynamic == -2.0
    assert part.notes[17].tied_to_next
    assert part.notes[0].lyrics == ("Ring,",)


def test_every_place_is_the_notes_own_letter() -> None:
    part = read(ABC)
    data = ABC.encode()
    assert len({note.place for note in part.notes}) == len(part.notes)
    for note, letter in zip(part.notes, letters(part, data), strict=True):
        assert letter == ("{" if note.grace else note.written.step)


def test_places_are_bytes_in_any_encoding() -> None:
    text = 'X:1\nT:Læk\nK:C\n"^é"C D E'
    for encoding in ("utf-8", "latin-1", "utf-8-sig"):
        data = text.encode(encoding)
        assert letters(read(data), data) == ["C", "D", "E"]
        assert read(data).title == "Læk"


@pytest.mark.parametrize(
    "music",
    [
        "C/2>D/2 E {FG}A [K:D] F | C2 D2 |",
        '"Gm7"v.=G,2 "^text"!trill!c z | x Z | C D E F |',
        "(3CDE (3:2:2C2D C | [M:3/4] C D E |",
        "C D % comment A B C\nE F |",
        "C D \\\nE F | G8 |",
        "CDEF | y C y D [I:staff 1] E F |",
        "+trill+C D ^^E __F | =B, c' d, e |",
        "[CEG] D E F | [C2E2] [DF]2 |",
    ],
)
def test_the_walk_over_the_text_finds_what_the_converter_finds(music: str) -> None:
    data = (HEADER + music + "\n").encode()
    part = read(data, voice="top" if "[C" in music else None)
    assert all(note.place for note in part.notes), said(part)
    if "[C" not in music:
        assert letters(part, data) == ["{" if note.grace else note.written.step for note in part.notes]


def test_voices_are_parts_and_keep_their_own_places() -> None:
    text = (
        HEADER.replace("K:C", 'V:1 name="First"\nV:2 name="Second"\nK:C')
        + "V:1\nC D E F|\nV:2\nC, D, E, F,|\nV:1\nG4|\nV:2\nA4|"
    )
    data = text.encode()
    first, second = read(data), read(data, at=1)
    assert (first.name, second.name) == ("First", "Second")
    assert letters(first, data) == ["C", "D", "E", "F", "G"]
    assert letters(second, data) == ["C", "D", "E", "F", "A"]
    assert {note.place for note in first.notes}.isdisjoint(note.place for note in second.notes)


def test_a_book_of_tunes_is_listed() -> None:
    book = "% a book\n\nX:1\nT:One\nK:C\nCDEF|\n\nfree text A B C\n\nX:2\nT:Two\nK:G\nGABc|\n"
    score = open_abc(book.encode(), where="book.abc", to_musicxml=abc_here)
    assert [(heading.number, heading.name) for heading in score.headings] == [(1, "1. One"), (2, "2. Two")]
    second = score.part(score.headings[1])
    assert [note.written.step for note in second.notes] == ["G", "A", "B", "C"]
    assert letters(second, book.encode()) == ["G", "A", "B", "C"]


def test_a_typed_line_needs_no_header() -> None:
    part = read("C D (E F) | G4")
    assert "no L: and no K:" in said(part)
    assert [note.duration_quarter for note in part.notes][:2] == [Fraction(1, 2), Fraction(1, 2)]
    assert part.slurs == (Slur(2, 3),)
    part = read("M:2/4\nK:F\nB A")
    assert [str(note.written) for note in part.notes] == ["Bb4", "A4"]


def test_the_unit_length_follows_the_metre() -> None:
    """ABC 2.1, section 3.1.7: below 3/4 a sixteenth, else an eighth."""
    assert read("X:1\nM:2/4\nK:C\nC").notes[0].duration_quarter == Fraction(1, 4)
    assert read("X:1\nM:3/4\nK:C\nC").notes[0].duration_quarter == Fraction(1, 2)
    assert read("X:1\nM:6/8\nK:C\nC").notes[0].duration_quarter == Fraction(1, 2)


@pytest.mark.parametrize(
    "words", ["K:C transpose=-2", "K:C transpose=-2 clef=treble", "V:1 transpose=-2\nK:C", "%%MIDI transpose -2\nK:C"]
)
def test_transposition(words: str) -> None:
    part = read(f"X:1\nL:1/4\n{words}\nC D\n")
    assert part.measures[0].transposition == Transposition(-1, -2)
    assert str(part.notes[0].sounding) == "Bb3"
    assert part.states_transposition


def test_a_plus_sign_transposes_up() -> None:
    assert str(read("X:1\nK:C transpose=+3\nC D\n").notes[0].sounding) == "Eb4"


def test_the_bass_clef_leaves_octaves_alone() -> None:
    assert str(read("X:1\nK:C clef=bass\nC, D,\n").notes[0].sounding) == "C3"


def test_a_slur_end_behind_a_decoration_is_lost_and_said() -> None:
    part = read(HEADER + "(A, B,!<)!) C |")
    assert "decorations go before the note" in said(part)
    assert "never closes" in said(part)
    assert "line 5, column 1:" in said(part)


def test_what_means_nothing_is_said() -> None:
    assert "means nothing" in said(read(HEADER + "C D # E F |"))


def test_other_files_are_not_read_in() -> None:
    for words in ("%%abc-include /etc/hostname", "I:abc-include /etc/hostname"):
        part = read(f"X:1\nL:1/4\n{words}\nK:C\nC D E F|")
        assert len(part.notes) == 4
        assert "not read in" in said(part)


def test_typesetting_blocks_are_no_music() -> None:
    part = read("X:1\nL:1/4\nK:C\nC D |\n%%begintext\nA B C is a fine tune\n%%endtext\nE F |")
    assert [note.written.step for note in part.notes] == ["C", "D", "E", "F"]
    assert all(note.place for note in part.notes)


def test_one_file_does_not_colour_the_next() -> None:
    read("X:1\nU:T = !fermata!\nL:1/4\nK:C\nTC D|")
    assert read("X:1\nL:1/4\nK:C\nTC D|").notes[0].articulations == frozenset()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b" \n\n", "empty"),
        (b"X:1\nK:C\n\0\0\0", "not a text"),
        (b"X:1\nL:1/4\nK:C\nC Z99999 D\n", "rest of more measures"),
        (b"X:1\nK:C\n" + b"CDEF|" * 50_000, "longer than music is"),
        (b"X:1\nK:C\nC|" + b"[" * 20_000 + b"C" + b"]" * 20_000, "line 3: chords or grace notes stand in each other"),
        (b"X:1\nK:C\n{{{{{{{{{C}}}}}}}}}D|", "9 deep; allowed: up to 8"),
        (b"X:1\nK:C\n" + b"CDEF\n" * 2_000, "a bar of more notes than music has; got 2,004"),
        (b"X:1\nK:C\n" + b"% a remark\n" * 800_000, "9 MB; allowed: up to 8 MB"),
    ],
)
def test_what_cannot_be_read_is_said(data: bytes, words: str) -> None:
    with pytest.raises(NotationError, match=words):
        open_abc(data, where="tune.abc", to_musicxml=abc_here)


def test_a_tune_that_is_no_music_does_not_take_the_book_with_it() -> None:
    book = "X:1\nK:C\nC Z99999|\n\nX:2\nT:Sound\nK:C\nC D|\n\nX:3\nK:C\n" + "{" * 50 + "C|\n"
    score = open_abc(book.encode(), where="book.abc", to_musicxml=abc_here)
    assert [heading.name for heading in score.headings] == ["2. Sound"]
    words = said(score.part(score.headings[0]))
    assert "book.abc: tune 1: line 3: a rest of more measures" in words
    assert "book.abc: tune 3: line 12: chords or grace notes" in words


def test_of_a_long_book_as_much_is_listed_as_can_be_read_soon() -> None:
    book = "".join(f"X:{number}\nK:C\n{'CDEF|' * 4000}\n\n" for number in range(1, 6))
    score = open_abc(
        book.encode(), where="book.abc", to_musicxml=lambda tunes, _: abc_here(["X:1\nK:C\nC|"] * len(tunes), "")
    )
    assert len(score.headings) == 2
    assert "has 5 tunes; the first 2 are listed" in said(score.part(score.headings[0]))


def test_places_count_bytes_whatever_stands_before() -> None:
    data = 'X:1\nT:Fähre über die Flüße\nL:1/4\nK:C\n"für"C {DE}F "ö"G|'.encode()
    assert letters(read(data), data) == ["C", "{", "{", "F", "G"]


def test_no_notes_and_chords() -> None:
    with pytest.raises(PartError, match="no notes"):
        read("X:1\nK:C\nz4 | z4 |")
    with pytest.raises(PartError, match="at once"):
        read(HEADER + "[CEG]4 |")


def test_damaged_files_never_raise_anything_else() -> None:
    for copy in damaged(ABC.encode(), count=50, seed=3):
        try:
            score = open_abc(copy, where="tune.abc", to_musicxml=abc_here)
            for heading in score.headings:
                score.part(heading)
        except SlurwrightError:
            continue
