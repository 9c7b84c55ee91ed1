"""ABC as a score: tunes and voices as parts, every note with its place in the text.

The notes come from the converted MusicXML; the places come from our own walk over the text. They are matched voice
by voice on the letters of the notes, so that a mark can never land on a wrong note: where the two do not agree,
the part can be read but not marked, and a notice says so.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from slurwright.errors import Fault, NotationError, PartError
from slurwright.formats.abc.convert import musicxml_of
from slurwright.formats.abc.letters import Letter, VoiceLetters, letters_of
from slurwright.formats.abc.own import without_marks
from slurwright.formats.abc.tunes import Tune, decoded, tunes_of
from slurwright.formats.musicxml import open_musicxml
from slurwright.formats.scorefile import PartHeading, ScoreFile
from slurwright.score import Note, Notice, Part

__all__ = ["open_abc"]

_MOST_TUNES = 40


def open_abc(data: bytes, *, where: str) -> ScoreFile:
    """Open ABC text: one tune, typed or from a file, or a book of tunes.

    Raises:
        NotationError: no text, or no tune in it that can be read.

    """
    text, encoding = decoded(without_marks(data), where=where)
    if not text.strip():
        raise NotationError("the file is empty", allowed="a tune in ABC notation", where=where)
    tunes = tunes_of(text, where=where)
    notices: list[Notice] = []
    if len(tunes) > _MOST_TUNES:
        notices.append(Notice(f"the file has {len(tunes)} tunes; the first {_MOST_TUNES} are listed", where))
    books: list[_OpenTune] = []
    faults: list[Fault] = []
    for tune in tunes[:_MOST_TUNES]:
        name = f"{where}: tune {tune.number}" if len(tunes) > 1 else where
        try:
            books.append(_open_tune(tune, name))
        except NotationError as error:
            faults.extend(error.faults)
            notices.extend(Notice(str(fault), where) for fault in error.faults)
    if not books:
        raise NotationError(faults=tuple(faults))
    return _AbcScore(tuple(books), len(tunes) > 1, text, encoding, tuple(notices), where)


@dataclass(frozen=True, slots=True)
class _OpenTune:
    tune: Tune
    score: ScoreFile
    voices: tuple[VoiceLetters, ...]
    notices: tuple[Notice, ...]
    where: str


def _open_tune(tune: Tune, where: str) -> _OpenTune:
    xml, said = musicxml_of(tune.text, where=where)
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
                return tuple(
                    replace(note, place=self._place(letter))
                    for note, letter in zip(notes, stream.letters, strict=True)
                ), False
        return tuple(replace(note, place="") for note in notes), True

    def _place(self, letter: Letter) -> str:
        """Byte of the unmarked file at which an annotation goes, and the rank inside a grace group."""
        start = len(self.text[: letter.offset].encode(self.encoding))
        return f"{start}.{letter.rank}" if letter.grace else str(start)


def _agree(notes: Sequence[Note], letters: Sequence[Letter]) -> bool:
    """Say whether notes can be these letters; of a chord any letter will do."""
    return len(notes) == len(letters) and all(
        note.grace == letter.grace and note.written.step in letter.step + letter.others
        for note, letter in zip(notes, letters, strict=True)
    )
