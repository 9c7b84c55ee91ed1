"""Command lines of practice with words that mean nothing among some that do, drawn by lot, for tests and fuzzing.

A *place* has what the words name: a part, a recording, a text that is no part, a folder, files that may not be
written, a trial and a sheet. `spoiled_line` draws one line; its words are those that a slip of the finger, a script
gone wrong or a curious player may bring.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

import click
import numpy as np

from slurwright.cli.group import slurwright

__all__ = ["COMMANDS", "NONSENSE", "Place", "spoiled_line"]

NONSENSE = (
    *("", " ", "nan", "inf", "-inf", "-1", "0", "1e9", "1e400", "99999999999999999999", "0x10", "½", "٣", "-0.0"),
    *("2026-02-30", "2026-13-01", "0000-01-01", "9999-12-31", "1-1-1", "tomorrow", "12:3", "999:1", "-1:-1", "12:"),
    *(":", "12:3/0", "12:3/0=4", "F3", "H9", "C99", "F3=", "=4", "F3=9", "F3 Bb3", "D4..F2", "good", "good=0"),
    *("good=1e9", "good=-1", "good=99999999", "gut", "missed=2", "plain", "half-valve", "legato-tongue", "ÄÖÜ", "🎺"),
    *("\u202egood", "a\nb", "x" * 300, "x" * 5000, "../../..", "/", "~", "*", "--", "-", "'; DROP TABLE sheets; --"),
    *("\udcff", "\ufeff", "\t", "%s", "{0}", "None", "true", "pp", "a4", "letter", "euphonium-4c", "trumpet-b", "me"),
)  # fmt: skip
"""Words that fit nowhere, or somewhere else."""

_DAYS = ("2026-03-01", "2026-03-20", "2031-01-01", "0001-01-01", "9999-12-31")
_HEARD = ("good", "rough", "missed", "good=3")

COMMANDS: Mapping[tuple[str, ...], tuple[str, ...]] = {
    ("tried", "log"): ("part", "where", "heard", "heard"),
    ("tried", "list"): (),
    ("tried", "withdraw"): ("number",),
    ("tried", "restore"): ("number",),
    ("trial", "new"): ("part", "where"),
    ("trial", "next"): ("trial",),
    ("trial", "log"): ("trial", "heard"),
    ("trial", "unlog"): ("trial", "number"),
    ("trial", "page"): ("trial", "out"),
    ("trial", "take"): ("trial", "sound"),
    ("trial", "show"): ("trial",),
    ("trial", "list"): (),
    ("trial", "end"): ("trial",),
    ("trial", "reopen"): ("trial",),
    ("trial", "remove"): ("trial",),
    ("trial", "restore"): ("trial",),
    ("today", "plan"): ("part",),
    ("today", "show"): ("sheet",),
    ("today", "left"): (),
    ("today", "done"): ("number", "heard"),
    ("today", "skip"): ("number",),
    ("exercises",): ("part",),
    ("progress",): ("part",),
    ("part",): ("part",),
    ("take", "measure"): ("sound", "part"),
}
"""Commands with what their arguments are."""
_USUAL: Mapping[str, tuple[str, ...]] = {
    "--horn": ("old silver", "old silver", "euphonium-4c", "trombone"),
    "--player": ("me",),
    "--tuning": ("exact", "minimax"),
    "--part": ("1", "Euphonium"),
    "--voice": ("1", "top"),
    "--written-for": ("bass-concert", "treble-b9"),
    "--reading": ("bass-concert", "treble-b9"),
    "--dynamic": ("pp", "ff"),
    "--tempo": ("60", "120"),
    "--pin": ("F3=4", "0:3=0"),
    "--tendency": ("F3 4 -12",),
    "--typed": ("K:Bb clef=bass\n(F,2 B,2) | (B,2 F,2) |",),
    "--as": ("plain", "legato-tongue", "half-valve"),
    "--choose": ("1", "2", "legato-tongue", "F3=4"),
    "--aim": ("speaking", "smoothness", "tuning"),
    "--minutes": ("1", "5", "20", "240"),
    "--seed": ("0", "7"),
    "--paper": ("a4", "letter"),
    "--at": ("0:3", "6:3"),
    "--range": ("F2..D4",),
    "--drone": ("Bb2",),
    "--a4": ("440", "442"),
    "--celsius": ("21",),
    "--slur": ("F3 Bb3", "0:3"),
    "--most-blocks": ("5", "200"),
    "--block": ("1", "3"),
}


@dataclass(frozen=True, slots=True)
class Place:
    """What the words of a line may name; paths as text."""

    parts: Sequence[str]
    """A part, and what is none: no file, a folder, a recording, a text."""
    sounds: Sequence[str]
    outs: Sequence[str]
    """Where a file may be written, and where none can."""
    trials: Sequence[str]
    sheets: Sequence[str]


def spoiled_line(place: Place, rng: np.random.Generator, *, spoiled: float = 0.35) -> tuple[str, ...]:
    """Draw a command line.

    Args:
        place: what its words may name.
        rng: draws.
        spoiled: how often a word is one that means nothing.
    """
    commands = list(COMMANDS)
    command = commands[int(rng.integers(len(commands)))]
    words = [_argument(kind, place, rng, spoiled) for kind in COMMANDS[command] if rng.random() < 0.95]
    for option in _options(command):
        name = option.opts[0]
        if rng.random() < (0.9 if name in {"--horn", "--minutes"} else 0.15):
            words.append(name)
            if isinstance(option.type, click.Path):
                words.append(_any(place.outs, rng))
            elif not option.is_flag:
                words.append(_value(name, place, rng, spoiled))
    if rng.random() < 0.05:
        words.append(_any(NONSENSE, rng))
    return (*command, *words)


@cache
def _options(command: tuple[str, ...]) -> tuple[click.Option, ...]:
    """Options of a command, as it has them now."""
    found = slurwright.commands[command[0]]
    for word in command[1:]:
        assert isinstance(found, click.Group)
        found = found.commands[word]
    return tuple(one for one in found.params if isinstance(one, click.Option))


def _any(words: Sequence[str], rng: np.random.Generator) -> str:
    return words[int(rng.integers(len(words)))]


def _argument(kind: str, place: Place, rng: np.random.Generator, spoiled: float) -> str:
    if rng.random() < spoiled:
        return _any((*NONSENSE, *place.parts), rng)
    usual: Mapping[str, Sequence[str]] = {
        "part": place.parts[:1],
        "where": ("0:3", "F3", "6:3"),
        "heard": _HEARD,
        "number": ("1", "2", "3", "2-3"),
        "trial": place.trials,
        "sheet": place.sheets,
        "sound": place.sounds,
        "out": place.outs,
    }
    return _any(usual[kind], rng)


def _value(name: str, place: Place, rng: np.random.Generator, spoiled: float) -> str:
    if rng.random() < spoiled:
        return _any(NONSENSE, rng)
    if name in {"--on", "--since", "--concert"}:
        return _any(_DAYS, rng)
    return _any(_USUAL.get(name, (*place.sheets, *place.trials, "5", "0.5")), rng)
