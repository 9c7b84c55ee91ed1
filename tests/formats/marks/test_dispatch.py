"""Every format has its writer of marks, found by name and imported only when it is needed."""

import subprocess
import sys

import pytest

from builders.musicxml_samples import document
from slurwright.errors import NotationError, RequestError
from slurwright.formats.marks import MARKED_FORMATS, Mark, mark_file, unmark_file


@pytest.mark.parametrize("name", MARKED_FORMATS)
def test_every_format_refuses_what_is_none_of_its_files(name: str) -> None:
    with pytest.raises((NotationError, RequestError), match="noise"):
        mark_file(bytes(range(256)), [Mark("note:0", "1")], format=name, where="noise")


@pytest.mark.parametrize("name", ["", "pdf", "MusicXML", "mxl"])
def test_other_formats_are_refused_with_the_list(name: str) -> None:
    refusal = r"no such notation format; got '.*'; allowed: abc, humdrum, mei, midi, musicxml"
    with pytest.raises(RequestError, match=refusal):
        mark_file(b"", [], format=name)
    with pytest.raises(RequestError, match=refusal):
        unmark_file(b"", format=name)


def test_existing_fingerings_are_kept_unless_asked() -> None:
    data = document().encode()
    assert b"<fingering>2</fingering>" in mark_file(data, [Mark("note:2", "1")], format="musicxml")
    replaced = mark_file(data, [Mark("note:2", "1")], format="musicxml", keep_existing=False)
    assert b"kept <fingering>2</fingering>?>" in replaced


def test_importing_marks_imports_no_format() -> None:
    code = "import sys, slurwright.formats.marks; print({'lxml', 'mido', 'verovio', 'expat'} & set(sys.modules))"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "set()"
