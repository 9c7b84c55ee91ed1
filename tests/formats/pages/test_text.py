from hypothesis import given
from hypothesis import strategies as st

from slurwright.formats.pages.text import lines_of, printable


def test_control_characters_become_spaces() -> None:
    assert printable("a\x00b\tc\n d\u2028e") == "a b c d e"


@given(st.text(max_size=600))
def test_what_is_printable_stays_so(text: str) -> None:
    assert printable(printable(text)) == printable(text)
    assert len(printable(text)) <= 400


@given(st.text(max_size=200), st.integers(5, 60))
def test_lines_hold_all_words_in_order(text: str, longest: int) -> None:
    lines = lines_of(text, longest)
    assert " ".join(lines) == printable(text)
    assert all(len(line) <= longest or " " not in line for line in lines)
