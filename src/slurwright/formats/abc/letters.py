"""Where every note stands in ABC text: a small tokenizer that knows just enough to find them all.

It walks music lines, steps over comments, fields, annotations and decorations, and gives for each voice its notes
in order: letter, place, and the fingering decorations in front of it. It also sees slurs that never close.
"""

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from slurwright.formats.abc.tunes import SourceLine, Tune
from slurwright.score import Notice

__all__ = ["FIELD_LINE", "TOKENS", "Letter", "VoiceLetters", "letters_of"]

_VOICE = re.compile(r"V:\s*([^\s\]]+)")
FIELD_LINE = re.compile(r"[A-Za-z+]:|%%")
TOKENS = re.compile(
    r"""
      (?P<comment>(?<!\\)%.*)
    | (?P<text>"[^"]*"?)
    | (?P<field>\[[A-Za-z]:[^\]]*\]?)
    | (?P<decoration>![^!\s]+!|\+[^+\s]+\+)
    | (?P<bar>\[?\|[\]:|]*(?:\[?\d[\d,\-]*)?|:+\|*[\]:|]*|\[\d[\d,\-]*)
    | (?P<grace_open>\{/?)
    | (?P<grace_close>\})
    | (?P<chord_open>\[)
    | (?P<chord_close>\][\d/]*)
    | (?P<overlay>&+)
    | (?P<tuplet>\(\d[\d:]*)
    | (?P<slur_open>\.?\([,']?)
    | (?P<slur_close>\.?\))
    | (?P<note>(?:\^\^|\^|__|_|=)?(?P<letter>[A-Ga-g])[,']*[\d/]*(?P<tie>\s*\.?-)?)
    | (?P<rest>(?:\^\^|\^|__|_|=)?[zxZXy][\d/]*)
    | (?P<broken>[<>]+)
    | (?P<space>[\s`]+)
    | (?P<other>.)
    """,
    re.VERBOSE,
)
_FINGERING = re.compile(r"[!+][0-9][!+]")


@dataclass(frozen=True, slots=True)
class Letter:
    """One note of the text."""

    step: str
    offset: int
    """Where an annotation of this note goes: its accidental or letter, or the brace of its grace group."""
    line: int
    grace: bool
    rank: int
    """Place inside its grace group, from 0; 0 outside."""
    fingerings: tuple[tuple[int, int], ...]
    """Start and end of each fingering decoration in front of it."""
    others: str = ""
    """Letters of the further notes of its chord."""


@dataclass(slots=True)
class VoiceLetters:
    """The notes of one voice, or of one overlay of it, in order."""

    voice: str
    overlay: int
    letters: list[Letter] = field(default_factory=list)


@dataclass(slots=True)
class _Slurs:
    open: list[tuple[int, int]] = field(default_factory=list)
    """Line and column of every slur that is open."""


class _Walk:
    """State while the lines are walked."""

    def __init__(self, where: str) -> None:
        self.voices: dict[tuple[str, int], VoiceLetters] = {}
        self.notices: list[Notice] = []
        self._where = where
        self._voice = "1"
        self._overlay = 0
        self._slurs: dict[str, _Slurs] = defaultdict(_Slurs)
        self._grace_at: int | None = None
        self._grace_rank = 0
        self._chord_at: int | None = None
        self._chord_open = False
        self._fingerings: list[tuple[int, int]] = []
        self._after_note = False

    def line(self, line: SourceLine) -> None:
        if FIELD_LINE.match(line.text):
            self._voice_change(line.text)
            return
        self._grace_at, self._chord_at, self._chord_open = None, None, False
        for token in TOKENS.finditer(line.text):
            kind = token.lastgroup or "other"
            if kind == "comment":
                break
            step = getattr(self, f"_on_{'note' if token['note'] else kind}", None)
            if step is not None:
                step(token, line)

    def finish(self) -> None:
        for voice, slurs in self._slurs.items():
            for line, column in slurs.open:
                self._say(f"a slur opens here in voice {voice} and never closes", line, column)

    def _say(self, what: str, line: int, column: int) -> None:
        place = f"line {line}, column {column}"
        self.notices.append(Notice(what, f"{self._where}: {place}" if self._where else place))

    def _voice_change(self, text: str) -> None:
        found = _VOICE.match(text)
        if found:
            self._voice, self._overlay = found[1], 0

    def _on_text(self, _token: re.Match[str], _line: SourceLine) -> None:
        self._after_note = False

    def _on_field(self, token: re.Match[str], _line: SourceLine) -> None:
        self._after_note = False
        self._voice_change(token[0][1:])

    def _on_decoration(self, token: re.Match[str], line: SourceLine) -> None:
        self._after_note = False
        if _FINGERING.fullmatch(token[0]):
            self._fingerings.append((line.offset + token.start(), line.offset + token.end()))

    def _on_bar(self, _token: re.Match[str], _line: SourceLine) -> None:
        self._overlay = 0
        self._after_note = False
        self._fingerings.clear()

    def _on_overlay(self, token: re.Match[str], _line: SourceLine) -> None:
        self._overlay += len(token[0])

    def _on_grace_open(self, token: re.Match[str], line: SourceLine) -> None:
        self._grace_at, self._grace_rank = line.offset + token.start(), 0

    def _on_grace_close(self, _token: re.Match[str], _line: SourceLine) -> None:
        self._grace_at = None

    def _on_chord_open(self, token: re.Match[str], line: SourceLine) -> None:
        self._chord_at, self._chord_open = line.offset + token.start(), False

    def _on_chord_close(self, _token: re.Match[str], _line: SourceLine) -> None:
        self._chord_at = None
        self._after_note = True

    def _on_rest(self, token: re.Match[str], _line: SourceLine) -> None:
        self._after_note = token[0][-1:] != "y"
        self._fingerings.clear()

    def _on_slur_open(self, token: re.Match[str], line: SourceLine) -> None:
        self._slurs[self._voice].open.append((line.number, token.start() + 1))
        self._after_note = False

    def _on_slur_close(self, token: re.Match[str], line: SourceLine) -> None:
        open_slurs = self._slurs[self._voice].open
        if not self._after_note:
            self._say(
                "a slur ends here but not right after a note, so the end is lost; decorations go before the note",
                line.number,
                token.start() + 1,
            )
        elif not open_slurs:
            self._say("a slur ends here that never began", line.number, token.start() + 1)
        else:
            open_slurs.pop()

    def _on_note(self, token: re.Match[str], line: SourceLine) -> None:
        voice = self.voices.setdefault((self._voice, self._overlay), VoiceLetters(self._voice, self._overlay))
        self._after_note = True
        if self._chord_at is not None and self._chord_open:
            voice.letters[-1] = replace(voice.letters[-1], others=voice.letters[-1].others + token["letter"].upper())
            return
        self._chord_open = True
        grace = self._grace_at is not None
        starts = (self._grace_at, self._chord_at, line.offset + token.start())
        offset = next(start for start in starts if start is not None)
        rank = self._grace_rank if grace else 0
        self._grace_rank += grace
        voice.letters.append(
            Letter(token["letter"].upper(), offset, line.number, grace, rank, tuple(self._fingerings))
        )
        self._fingerings.clear()


def letters_of(tune: Tune, *, where: str) -> tuple[Sequence[VoiceLetters], Iterable[Notice]]:
    """Find every note of a tune, voice by voice, and say which slurs do not close."""
    walk = _Walk(where)
    for line in tune.header:
        if line.text.startswith("V:"):
            walk.line(line)
    for line in tune.body:
        walk.line(line)
    walk.finish()
    return tuple(walk.voices.values()), walk.notices
