"""All that a picture of a take shows, gathered once, and the runs in which the player went through the part."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from slurwright.listen.followed import PlayedAs, PlayedNote
from slurwright.listen.measures import NoteMeasure, SlurMeasure
from slurwright.listen.take import TakeMeasure
from slurwright.listen.track import PitchTrack
from slurwright.picture.columns import Column

__all__ = ["NoteSaid", "Run", "SlurSaid", "TakeScene", "runs_of", "scene_of"]

_LOUDEST_SHARE = 0.99
"""Share of the pitched frames that lie below the top of the lanes: a click does not set the scale (ours) [1]."""


@dataclass(frozen=True, slots=True)
class NoteSaid:
    """What is written at a sound."""

    figure: str
    """How far out it is with its interval, "+12 ±1"; what sounded, where that was another note; empty for neither."""
    short: str
    """The same where there is little room: "+12"."""
    besides: str = ""
    """A word more: "from 35 below"."""
    sentence: str = ""
    """For people who point at it."""


@dataclass(frozen=True, slots=True)
class SlurSaid:
    """What is written at a slur."""

    words: str
    """Two or three words, empty for a slur with nothing to say against it."""
    short: str = ""
    """One word, where there is no room for more."""
    sentence: str = ""


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of a take without going back or jumping: indices into ``Following.played``."""

    played: range
    number: int
    """Which run it is, from 1."""


@dataclass(frozen=True, slots=True, eq=False)
class TakeScene:
    """What is drawn, over the whole take."""

    measure: TakeMeasure
    track: PitchTrack
    """With no more frames than are worth drawing."""
    columns: Sequence[Column]
    """What stands around each asked note."""
    notes: Mapping[int, NoteSaid]
    """Index into ``Following.played`` -> what is written there."""
    slurs: Sequence[SlurSaid]
    """One for each of ``TakeMeasure.slurs``."""
    runs: tuple[Run, ...]
    measured: Mapping[int, NoteMeasure]
    """Index into ``Following.played`` -> its measures."""
    loudest_db: float
    """Level at the top of the lanes of loudness [dB]."""

    def played(self, run: Run, columns: range) -> list[int]:
        """List the sounds of a run that stand for notes in some columns, in order of time."""
        notes = self.measure.following.played
        return [index for index in run.played if notes[index].asked is not None and notes[index].asked in columns]

    def extras(self, run: Run) -> list[int]:
        """List the sounds of a run that nobody asked for."""
        notes = self.measure.following.played
        return [index for index in run.played if notes[index].played_as is PlayedAs.EXTRA]

    def missed(self, run: Run, columns: range) -> list[int]:
        """List the asked notes in some columns that a run passed over."""
        asked = [note.asked for note in self._of(run) if note.asked is not None]
        if not asked:
            return []
        return [at for at in range(min(asked), max(asked)) if at in columns and at not in asked]

    def slurs_of(self, run: Run) -> list[tuple[SlurMeasure, SlurSaid]]:
        """List the slurs of a run with what is said of them."""
        pairs = zip(self.measure.slurs, self.slurs, strict=True)
        return [(slur, said) for slur, said in pairs if slur.first in run.played and slur.second in run.played]

    def _of(self, run: Run) -> Sequence[PlayedNote]:
        return self.measure.following.played[run.played.start : run.played.stop]


def scene_of(
    measure: TakeMeasure,
    track: PitchTrack,
    *,
    columns: Sequence[Column],
    notes: Mapping[int, NoteSaid],
    slurs: Sequence[SlurSaid],
) -> TakeScene:
    """Gather what is drawn of a take.

    Args:
        measure: the take.
        track: its track, with no more frames than are worth drawing.
        columns: what stands around each asked note.
        notes: index into ``Following.played`` -> what is written there.
        slurs: one for each of ``TakeMeasure.slurs``.
    """
    levels = sorted(track.level_db[track.hz > 0].tolist())
    return TakeScene(
        measure=measure,
        track=track,
        columns=columns,
        notes=notes,
        slurs=slurs,
        runs=runs_of(measure),
        measured={note.played: note for note in measure.notes},
        loudest_db=levels[int(_LOUDEST_SHARE * (len(levels) - 1))] if levels else 0.0,
    )


def runs_of(measure: TakeMeasure) -> tuple[Run, ...]:
    """Cut a take where the player went back or jumped ahead."""
    following = measure.following
    starts = sorted({0, *following.restarts})
    ends = [*starts[1:], len(following.played)]
    runs = [range(start, end) for start, end in zip(starts, ends, strict=True) if end > start]
    return tuple(Run(played, number) for number, played in enumerate(runs, start=1))
