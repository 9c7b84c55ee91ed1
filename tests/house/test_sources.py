"""Every figure from outside says where it is from, and every work that is named stands in ``docs/sources.bib``."""

import re
import subprocess
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import pytest

ROOT = Path(__file__).parents[2]
DATA = ROOT / "src" / "slurwright" / "data"
TABLES = sorted(DATA.rglob("*.toml"))
NAMING = ("source", "from", "provenance")
TAGS = ("common practice", "derived", "from memory", "provisional", "ours, provisional")
"""What may stand in place of a key."""
CITING = re.compile(
    r"(?:JASA|UAI|ISMIR|Acustica|Acoustics Today|Computation|Perception|Science|Manual|Century|music standard)"
    r"[^.;()]{0,40}\(?\b((?:19|20)\d\d)\b"
)
"""A place of publication with a year close behind."""


class Work(NamedTuple):
    key: str
    names: tuple[str, ...]
    year: str


def works() -> list[Work]:
    text = (ROOT / "docs" / "sources.bib").read_text("utf-8")
    found = []
    for entry in re.split(r"(?m)^(?=@)", text)[1:]:
        key = entry[entry.index("{") + 1 : entry.index(",")] if "," in entry else ""
        fields: dict[str, str] = dict(re.findall(r"(?m)^\s*(\w+)\s*=\s*\{(.*?)\}", entry, re.DOTALL))
        authors = fields.get("author", fields.get("title", ""))
        names = tuple(name.split(",")[0] for name in authors.split(" and ") if name != "others")
        found.append(Work(key, names, fields.get("year", "")))
    return found


WORKS = works()
KEYS = {work.key for work in WORKS}


def named_in(text: str) -> list[str]:
    """Keys of the works that a text names by author and year."""
    return [work.key for work in WORKS if work.year and work.year in text and any(n in text for n in work.names)]


def blocks(table: dict[str, Any], path: str, *, covered: bool) -> Iterator[tuple[str, dict[str, Any], bool]]:
    """Every table with whether it, or a table around it, says where it is from."""
    covered = covered or any(name in table for name in NAMING)
    yield path, table, covered
    for key, value in table.items():
        below = f"{path}.{key}" if path else key
        if isinstance(value, dict):
            yield from blocks(value, below, covered=covered)
        elif isinstance(value, list):
            for at, inner in enumerate(value):
                if isinstance(inner, dict):
                    yield from blocks(inner, f"{below}[{at}]", covered=covered)


def has_figures(table: dict[str, Any]) -> bool:
    leaves = [leaf for value in table.values() for leaf in (value if isinstance(value, list) else [value])]
    return any(isinstance(leaf, int | float) and not isinstance(leaf, bool) for leaf in leaves)


def test_a_block_that_says_nothing_is_seen() -> None:
    table = tomllib.loads("[a]\nsource = 'derived'\n[a.b]\nx = 1\n[[c]]\ny = 'z'\n[[c]]\nx = [1]\n")
    found = {name: covered for name, block, covered in blocks(table, "", covered=False) if has_figures(block)}
    assert found == {"a.b": True, "c[1]": False}


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.stem)
def test_every_block_of_figures_says_where_it_is_from(path: Path) -> None:
    table = tomllib.loads(path.read_text("utf-8"))
    bare = [name for name, block, covered in blocks(table, "", covered=False) if has_figures(block) and not covered]
    assert bare == []


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.stem)
def test_every_source_is_a_tag_or_a_key(path: Path) -> None:
    table = tomllib.loads(path.read_text("utf-8"))
    for name, block, _ in blocks(table, "", covered=False):
        told = [block[key] for key in NAMING if key in block]
        tag = block.get("tag", told[0] if told else "derived")
        words = " ".join(value for value in block.values() if isinstance(value, str))
        if tag == "published":
            assert named_in(words), f"{name} is published and names no work of sources.bib"
        else:
            assert tag.startswith(TAGS) or tag in KEYS, f"{name}: {tag} is neither a tag nor a key of sources.bib"


def written() -> list[Path]:
    listed = subprocess.run(
        ["git", "ls-files", "-z", "src", "docs", "benchmarks", "tests"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    ).stdout.split("\0")
    kinds = {".py", ".toml", ".md", ".sql"}
    return [ROOT / name for name in listed if Path(name).suffix in kinds and (ROOT / name).is_file()]


@pytest.mark.needs("git")
def test_every_work_that_is_cited_stands_in_the_list() -> None:
    missing = []
    cited = 0
    for path in written():
        text = re.sub(r"\s*\n[\s#|]*", " ", path.read_text("utf-8"))
        for found in CITING.finditer(text):
            around = text[max(0, found.start() - 110) : found.end()]
            cited += 1
            if not named_in(around):
                missing.append(f"{path.relative_to(ROOT)}: {around}")
    assert missing == []
    assert cited > 10


def test_no_work_is_listed_twice() -> None:
    assert len(KEYS) == len(WORKS) > 10
