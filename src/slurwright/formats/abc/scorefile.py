"""ABC as a score: tunes and voices as parts, every note with its place in the text.

The notes come from the converted MusicXML; the places come from our own walk over the text. They are matched voice
by voice on the letters of the notes, so that a mark can never land on a wrong note: where the two do not agree,
the part can be read but not marked, and a notice says so.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, takewhile

from slurwright.errors import Fault, NotationError, PartError
from slurwright.formats.abc.bounds import LARGEST_BOOK_BYTES, MOST_CHARACTERS, bound_faults
from slurwright.formats.abc.convert import converted
from slurwright.formats.abc.letters import Letter, VoiceLetters, letters_of
from slurwright.formats.abc.own import without_marks
from slurwright.formats.abc.tunes import Tune, decoded, tunes_of
from slurwright.formats.musicxml import open_musicxml
from slurwright.formats.scorefile import PartHeading, ScoreFile
from slurwright.score import Note, Notice, Part

__all__ = ["open_abc"]

_MOST_TUNES = 40


def open_abc(
    data: bytes, *, where: str, to_musicxml: Callable[[Sequence[str], str], Sequence[tuple[str, str]]]
) -> ScoreFile:
    """Open ABC text: one tune, typed or from a file, or a book of tunes.

    Args:
        data: the text.
        where: its name for messages.
        to_musicxml: converts tunes to MusicXML; the second argument names the book in its errors. It gives for each
            tune a document, empty where it cannot, and its remarks, and must raise `NotationError` where it has to
            stop.

    Raises:
        NotationError: no text, or no tune in it that can be read.

    """
    if len(data) > LARGEST_BOOK_BYTES:
        size, most = f"{len(data) / 1e6:.0f} MB", f"up to {LARGEST_BOOK_BYTES / 1e6:.0f} MB"
        raise NotationError("more text than a book of tunes has", got=size, allowed=most, where=where)
    text, encoding = decoded(without_marks(data), where=where)
    if not text.strip():
        raise NotationError("the file is empty", allowed="a tune in ABC notation", where=where)
    tunes = tunes_of(text, where=where)
    several = len(tunes) > 1
    listed = [(tune, f"{where}: tune {tune.number}" if several else where) for tune in _listed(tunes)]
    opened, faults = _opened(listed, where, to_musicxml)
    if not opened:
        raise NotationError(faults=tuple(faults))
    notices = [Notice(str(fault), where) for fault in faults]
    if len(tunes) > len(listed):
        notices.insert(0, Notice(f"the file has {len(tunes)} tunes; the first {len(listed)} are listed", where))
    return _AbcScore(tuple(opened), several, text, encoding, tuple(notices), where)


@dataclass(frozen=True, slots=True)
class _OpenTune:
    tune: Tune
    score: ScoreFile
    voices: tuple[VoiceLetters, ...]
    notices: tuple[Notice, ...]
    where: str


def _listed(tunes: Sequence[Tune]) -> Sequence[Tune]:
    """Take as many tunes of a book as can be converted while the player waits, but one at least."""
    lengths = accumulate(len(tune.text) for tune in tunes[:_MOST_TUNES])
    return tunes[: max(1, len(list(takewhile(lambda length: length <= MOST_CHARACTERS, lengths))))]


def _opened(
    listed: Iterable[tuple[Tune, str]],
    where: str,
    to_musicxml: Callable[[Sequence[str], str], Sequence[tuple[str, str]]],
) -> tuple[list[_OpenTune], list[Fault]]:
    """Open all tunes that can be; of the others say why not."""
    faults: list[Fault] = []
    bounded: list[tuple[Tune, str]] = []
    for tune, name in listed:
        found = bound_faults(tune, where=name)
        faults.extend(found)
        if not found:
            bounded.append((tune, name))
    opened: list[_OpenTune] = []
    answers = to_musicxml([tune.text for tune, _ in bounded], where) if bounded else ()
    for (tune, name), answer in zip(bounded, answers, strict=True):
        try:
            opened.append(_open_tune(tune, answer, name))
        except NotationError as error:
            faults.extend(error.faults)
    return opened, faults


def _open_tune(tune: Tune, answer: tuple[str, str], where: str) -> _OpenTune:
    xml, said = converted(*answer, where=where)
    voices, slurs = letters_of(tune, where=where)
    return _OpenTune(tune, open_musicxml(xml, where=where), tuple(voices), (*tune.notices, *said, *slurs), where)


@dataclass(frozen=True, slots=True)
class _AbcScore:
    tunes: tuple[_OpenTune, ...]
    several: bool
    text: str
    encoding: str
    notices: tuple[Notice, ...]
    where: str

    @property
    def format(self) -> str:
        return "abc"

    @property
    def headings(self) -> tuple[PartHeading, ...]:
        return tuple(replace(heading, number=number) for number, (_, heading) in enumerate(self._listed(), start=1))

    def _listed(self) -> list[tuple[_OpenTune, PartHeading]]:
        return [(tune, self._named(tune, heading)) for tune in self.tunes for heading in tune.score.headings]

    def _named(self, tune: _OpenTune, heading: PartHeading) -> PartHeading:
        """Give every part a name and, in a book of tunes, the tune's."""
        lone = len(tune.score.headings) == 1
        title = tune.tune.title or "Tune"
        if not self.several:
            return replace(heading, name=heading.name or (title if lone else f"Voice {heading.id[1:]}"))
        voice = "" if lone else f", {heading.name or f'voice {heading.id[1:]}'}"
        return replace(heading, id=f"{tune.tune.number}.{heading.id}", name=f"{tune.tune.number}. {title}{voice}")

    def part(self, heading: PartHeading, *, voice: str | None = None) -> Part:
        listed = self._listed()
        if not 1 <= heading.number <= len(listed):
            raise PartError(
                "no such part", got=f"part {heading.number}", allowed=f"1 to {len(listed)}", where=self.where
            )
        tune, own = listed[heading.number - 1]
        first = next(at for at, (other, _) in enumerate(listed) if other is tune)
        inner = tune.score.headings[heading.number - 1 - first]
        part = tune.score.part(inner, voice=voice)
        notes, unplaced = self._placed(part.notes, tune, inner.id.removeprefix("P"))
        notices = [*self.notices, *tune.notices, *part.notices]
        if unplaced:
            notices.append(Notice("the notes cannot be traced back to the text, so it cannot be marked", tune.where))
        return replace(
            part,
            name=own.name,
            part_id=own.id,
            notes=notes,
            rests=tuple(replace(rest, place="") for rest in part.rests),
            notices=tuple(dict.fromkeys(notices)),
        )

    def _placed(self, notes: Sequence[Note], tune: _OpenTune, voice: str) -> tuple[tuple[Note, ...], bool]:
        """Give the notes their places in the text; True if no voice of the tune has just these notes."""
        for stream in sorted(tune.voices, key=lambda stream: stream.voice != voice):
            if _agree(notes, stream.letters):
                places = self._places(stream.letters)
                return tuple(replace(note, place=place) for note, place in zip(notes, places, strict=True)), False
        return tuple(replace(note, place="") for note in notes), True

    def _places(self, letters: Sequence[Letter]) -> list[str]:
        """Bytes of the unmarked file at which annotations go, and the ranks inside grace groups."""
        starts: dict[int, int] = {}
        at = start = 0
        for offset in sorted({letter.offset for letter in letters}):
            start += len(self.text[at:offset].encode(self.encoding))
            at = offset
            starts[offset] = start
        return [
            f"{starts[letter.offset]}.{letter.rank}" if letter.grace else str(starts[letter.offset])
            for letter in letters
        ]


def _agree(notes: Sequence[Note], letters: Sequence[Letter]) -> bool:
    """Say whether notes can be these letters; of a chord any letter will do."""
    return len(notes) == len(letters) and all(
        note.grace == letter.grace and note.written.step in letter.step + letter.others
        for note, letter in zip(notes, letters, strict=True)
    )
