"""Bad input ends with exit status 2, says what came and what was allowed, and leaves nothing half-written."""

import io
import zipfile
from pathlib import Path

import pytest

from .conftest import Ran, Run

HORN = ("--horn", "euphonium-4c")
HEAD = '<?xml version="1.0" encoding="UTF-8"?>'


def refused(ran: Ran, *words: str) -> None:
    assert ran.status == 2, ran.out + ran.err
    assert ran.out == ""
    assert "Traceback" not in ran.err
    for word in words:
        assert word in ran.err


def score(notes: str, *, head: str = HEAD, beats: str = "<beats>4</beats><beat-type>4</beat-type>") -> bytes:
    return (
        f'{head}<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Euphonium</part-name>'
        f'</score-part></part-list><part id="P1"><measure number="1"><attributes><divisions>1</divisions>'
        f"<time>{beats}</time><clef><sign>F</sign><line>4</line></clef></attributes>{notes}</measure></part>"
        "</score-partwise>"
    ).encode()


def pitched(step: str, octave: int, *, chord: bool = False) -> str:
    return (
        f"<note>{'<chord/>' if chord else ''}<pitch><step>{step}</step><octave>{octave}</octave></pitch>"
        "<duration>4</duration><type>whole</type></note>"
    )


ENTITY_BOMB = (
    '<?xml version="1.0"?><!DOCTYPE score-partwise [<!ENTITY a "aaaaaaaaaa">'
    + "".join(
        f'<!ENTITY {name} "{("&" + last + ";") * 10}">' for last, name in zip("abcdefgh", "bcdefghi", strict=True)
    )
    + "]><score-partwise>&i;</score-partwise>"
).encode()
EXTERNAL_ENTITY = b'<?xml version="1.0"?><!DOCTYPE s [<!ENTITY x SYSTEM "file:///etc/hostname">]><score-partwise>&x;</score-partwise>'


def packed(data: bytes, *, name: str = "score.xml") -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(
            "META-INF/container.xml",
            f'<container><rootfiles><rootfile full-path="{name}"/></rootfiles></container>',
        )
        archive.writestr(name, data)
    return stream.getvalue()


BAD_FILES = {
    "entity-bomb.musicxml": (ENTITY_BOMB, ["entit"]),
    "external-entity.musicxml": (EXTERNAL_ENTITY, ["entit"]),
    "bomb.mxl": (packed(b"<score-partwise>" + b" " * 600_000_000 + b"</score-partwise>"), []),
    "truncated.mxl": (packed(score(pitched("F", 3)))[:-40], []),
    "zero-beat-type.musicxml": (
        score(pitched("F", 3), beats="<beats>4</beats><beat-type>0</beat-type>"),
        ["beat-type", "measure 1"],
    ),
    "chords.musicxml": (score(pitched("F", 3) + pitched("A", 3, chord=True)), ["voice", "top", "bottom"]),
    "too-high.musicxml": (score(pitched("C", 8)), ["C8"]),
    "empty-part.musicxml": (score(""), ["no notes"]),
    "words.txt": (b"these are no notes at all", []),
    "noise.musicxml": (bytes(range(256)) * 20, []),
    "nothing.musicxml": (b"", ["empty"]),
    "half.musicxml": (score(pitched("F", 3))[:150], []),
}


@pytest.mark.parametrize("name", sorted(BAD_FILES))
def test_a_bad_file_is_refused_in_words(run: Run, tmp_path: Path, name: str) -> None:
    data, words = BAD_FILES[name]
    path = tmp_path / name
    path.write_bytes(data)
    refused(run("part", path, *HORN, "--marked", tmp_path / "out.musicxml"), *words)
    assert sorted(entry.name for entry in tmp_path.iterdir()) == [name]


def test_wrong_part_name_lists_the_names(run: Run, demo_file: Path) -> None:
    refused(run("part", demo_file, *HORN, "--part", "Kazoo"), "Kazoo", "Euphonium")


def test_unknown_horn_suggests(run: Run, demo_file: Path) -> None:
    refused(run("part", demo_file, "--horn", "euphonum-4c"), "euphonium-4c")
    refused(run("note", "F3", "--horn", "kazoo"), "trumpet-b")


def test_a_file_that_is_not_there(run: Run, tmp_path: Path) -> None:
    refused(run("part", tmp_path / "absent.musicxml", *HORN), "no such file")


@pytest.mark.parametrize(
    ("options", "word"),
    [
        (["--pin", "1:1=9"], "9"),
        (["--pin", "999:1=4"], "bar 999"),
        (["--pin", "hello"], "place"),
        (["--pin", "F3=4", "--pin", "F3=0"], "contradict"),
        (["--ban", "0", "--ban", "4", "--ban", "1-3", "--ban", "2-3-4", "--ban", "1-2-3", "--pin", "F3=0"], "no"),
        (["--reading", "treble-b"], "treble-b9"),
        (["--tendency", "F3 4 -900"], "100"),
        (["--tendency", "F3 9 -9", "--tendency", "nonsense"], "nonsense"),
        (["--tuning", "wild"], "exact"),
        (["--pages", "pages.docx"], ".pdf"),
        (["--ladder", "ladder.png"], ".svg"),
        (["--pin", "1:1/0=4"], "place"),
        (["--ban", "F3="], "a ban needs a fingering"),
        (["--weak-above", "nan"], "0<=x<=100"),
        (["--replace"], "--replace does nothing without --marked"),
        (["--paper", "letter", "--ladder", "ladder.svg"], "--paper does nothing without --pages"),
        (["--fingerings", "changes"], "--fingerings does nothing without --marked or --pages"),
    ],
)
def test_a_word_that_means_nothing(run: Run, demo_file: Path, options: list[str], word: str) -> None:
    refused(run("part", demo_file, *HORN, *options), word)


def test_a_pitch_that_is_none(run: Run) -> None:
    refused(run("note", "H9", *HORN), "H9")
    refused(run("note", "C9", *HORN), "C9", "F5")


def test_neither_file_nor_passage(run: Run) -> None:
    assert run("part", *HORN).status == 2


def test_a_pin_that_cannot_be_kept_is_said_once(run: Run, demo_file: Path) -> None:
    ran = run("part", demo_file, *HORN, "--pin", "F3=2")
    refused(ran, "F3", "got 2", "1-3", "bar 0, beat 3")
    assert ran.err.count("\n") == 1
