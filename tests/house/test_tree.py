"""The tree itself: no module too long to grasp, nothing that names the machine it was written on."""

import ast
import io
import re
import subprocess
import tokenize
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
LONGEST = 400
"""Lines of code in a module, comments and docstrings aside."""
BLANK = (tokenize.COMMENT, tokenize.NL, tokenize.NEWLINE, tokenize.INDENT, tokenize.DEDENT, tokenize.ENDMARKER)
FOLDERS = "home|root|tmp|work|mnt|Users|opt|srv"
PLACE = re.compile(rf"(?<![\w.}}/~-])/(?:{FOLDERS})/[\w.-]")
"""An absolute path into a folder of somebody's machine."""


def code_lines(text: str) -> int:
    words: set[int] = set()
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant) and isinstance(node.value.value, str):
            words.update(range(node.lineno, (node.end_lineno or node.lineno) + 1))
    code: set[int] = set()
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.type not in BLANK:
            code.update(range(token.start[0], token.end[0] + 1))
    return len(code - words)


def test_lines_of_code_are_counted() -> None:
    assert code_lines('"""Words."""\n\n# a remark\nx = """a\nb"""\ndef f():\n    """Words."""\n    return x\n') == 4


def test_no_module_is_too_long() -> None:
    texts = {path.relative_to(ROOT): path.read_text("utf-8") for path in (ROOT / "src").rglob("*.py")}
    assert len(texts) > 100
    sizes = {str(path): code_lines(text) for path, text in texts.items() if text.count("\n") > LONGEST}
    assert {path: size for path, size in sizes.items() if size > LONGEST} == {}


@pytest.mark.needs("git")
def test_nothing_names_a_place_on_a_machine() -> None:
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    places = []
    for name in listed.split("\0"):
        path = ROOT / name
        if not name or not path.is_file() or path == Path(__file__):
            continue
        text = path.read_bytes().decode("utf-8", "replace")
        places += [f"{name}: {text[found.start() : found.end() + 30]!r}" for found in PLACE.finditer(text)]
    assert places == []
