"""A recording from its file to its measures and to what is written of it."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from slurwright.devices.files import ending_faults, place_faults, write_files
from slurwright.devices.packaged import load_listening
from slurwright.devices.sound import open_sound
from slurwright.errors import Fault, RequestError, SoundError
from slurwright.horn import Horn
from slurwright.jobs.known_player import KnownPlayer
from slurwright.jobs.study import StudyRequest
from slurwright.jobs.take.measure import TakeRequest, departures, measure_part_take
from slurwright.jobs.take.measured import MeasuredTake
from slurwright.listen.kept import KeptTake
from slurwright.plan.study import Study
from slurwright.score import Notice
from slurwright.wiring.part import StudiedFile, study_file, study_typed

__all__ = ["MeasuredFile", "TakeOutputs", "asked_part", "measure_file", "write_take"]

_DECODED_SHARE = 0.3
"""Part of the work that is done when a recording is decoded; for telling how far it is."""


@dataclass(frozen=True, slots=True, eq=False)
class MeasuredFile:
    """A measured recording, and what was assumed on the way."""

    taken: MeasuredTake
    notices: tuple[Notice, ...]
    kept: KeptTake | None = None
    """None where nothing is kept."""
    tones: int = 0
    """How many steady notes became tones of the horn."""

    @property
    def remarks(self) -> tuple[str, ...]:
        """The notices in words."""
        return tuple(str(notice) for notice in self.notices)


def asked_part(
    file: Path | None, typed: str | None, horn: Horn, request: StudyRequest, *, player: KnownPlayer | None = None
) -> StudiedFile:
    """Study the part that a take is of, written out as it is played.

    Args:
        file: notation; None where it was typed.
        typed: a passage in ABC notation; None where there is a file.
        horn: the player's horn.
        request: what the player asks.
        player: what is known of them on this horn; None leaves the priors.
    """
    request = replace(request, each_time=True, best=1)
    if file is not None:
        return study_file(file, horn, request, player=player)
    return study_typed(typed or "", horn, request, player=player)


def measure_file(
    recording: Path, study: Study, request: TakeRequest, *, tick: Callable[[float], None]
) -> MeasuredFile:
    """Measure a recording of a part.

    Args:
        recording: the sound file.
        study: of the part, written out as it is played.
        request: what the player says of the take.
        tick: told now and then how much is done, 0..1.

    Raises:
        SoundError: the recording cannot be read, or nothing of the passage is heard in it.
        RequestError: a word of the request means nothing for this part.
    """
    with open_sound(recording, tick=lambda share: tick(_DECODED_SHARE * share)) as opened:
        try:
            taken = measure_part_take(
                opened.sound,
                study,
                request,
                limits=load_listening(),
                raw=opened.info.raw,
                tick=lambda share: tick(_DECODED_SHARE + (1.0 - _DECODED_SHARE) * share),
                where=recording.name,
            )
        except SoundError as error:
            # What was assumed on the way may be why nothing was heard: a reading, a file that breaks off.
            assumed = (*opened.notices, *study.notices)
            raise SoundError(faults=(*error.faults, *(Fault(f"note: {notice}") for notice in assumed))) from error
        return MeasuredFile(taken, study.notices + departures(study, taken.sounds) + opened.notices)


@dataclass(frozen=True, slots=True)
class TakeOutputs:
    """Files that the player wants of a take, None for those that they do not."""

    page: Path | None = None
    notes: Path | None = None
    slurs: Path | None = None
    paper: str = "a4"
    played_on: date | None = None
    """The day that stands on the page; None for none."""
    remark: str = ""

    def __post_init__(self) -> None:
        """Refuse endings that say nothing, and folders that are not there, before any work is done."""
        faults = ending_faults(
            (
                ("a page of a take", self.page, (".pdf", ".svg")),
                ("a table of notes", self.notes, (".csv",)),
                ("a table of slurs", self.slurs, (".csv",)),
            )
        )
        wanted = (path for path in (self.page, self.notes, self.slurs) if path is not None)
        faults += tuple(dict.fromkeys(place_faults(wanted)))
        if faults:
            raise RequestError(faults=faults)


def write_take(taken: MeasuredTake, outputs: TakeOutputs) -> tuple[Path, ...]:
    """Write the wanted files of a take, all of them or none.

    Args:
        taken: the take.
        outputs: what to write where.

    Returns:
        What was written, in order.
    """
    from slurwright.jobs.take.answers import notes_table, slurs_table  # noqa: PLC0415

    contents: dict[Path, bytes] = {}
    if outputs.page is not None:
        from slurwright.wiring.take_page import take_pages  # noqa: PLC0415  what draws waits until it is asked for

        contents.update(
            take_pages(taken, outputs.page, paper=outputs.paper, played_on=outputs.played_on, remark=outputs.remark)
        )
    if outputs.notes is not None:
        contents[outputs.notes] = notes_table(taken).encode()
    if outputs.slurs is not None:
        contents[outputs.slurs] = slurs_table(taken).encode()
    write_files(contents)
    return tuple(contents)
