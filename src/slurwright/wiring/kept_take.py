"""Takes that are kept: received, measured, measured again."""

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from slurwright.devices.clock import now, today
from slurwright.devices.packaged import load_horn
from slurwright.errors import RequestError, SlurwrightError, SoundError
from slurwright.horn import Horn
from slurwright.jobs.own_horn import OwnHorn, own_horn
from slurwright.jobs.passage import passage_of
from slurwright.jobs.readings import AS_WRITTEN
from slurwright.jobs.study import StudyRequest
from slurwright.jobs.take.kept import about_take, kept_measures, on_kept_ways, tried_before
from slurwright.jobs.take.measure import TakeRequest
from slurwright.jobs.take.tones import steady_tones
from slurwright.jobs.tried import day_faults
from slurwright.listen.kept import KeptTake, TakeState
from slurwright.score.fingerprint import fingerprint
from slurwright.store import Store
from slurwright.wiring.part import StudiedFile
from slurwright.wiring.take import MeasuredFile, asked_part, measure_file

__all__ = ["KeepWish", "asked_again", "keep_and_measure", "measure_again", "name_of_horn", "owned_horn"]

Tick = Callable[[float], None]


@dataclass(frozen=True, slots=True)
class KeepWish:
    """What a player wants to be kept of a take."""

    own: OwnHorn
    """The horn that was played."""
    played_on: date
    dynamic: str | None = None
    """Mark that was asked for throughout; None for the part's own."""
    tempo_qpm: float | None = None
    """Asked for at the start; None for the part's own [quarters per minute]."""
    sound: bool = False
    """The recording too, not the figures alone."""
    tones: bool = False
    """Steady notes become tones of the horn."""
    celsius: float | None = None
    """Air in the horn; None where it is not known [degC]."""
    remark: str = ""


def owned_horn(store: Store, name: str, *, player: str | None) -> OwnHorn | None:
    """Find a player's own horn; None where the name is that of a model.

    Args:
        store: what players keep.
        name: as typed.
        player: whose; None for the only player.
    """
    with suppress(SlurwrightError):
        return own_horn(store, name, player=player, catalogue=load_horn)
    return None


def keep_and_measure(
    store: Store,
    recording: Path,
    part: StudiedFile,
    request: TakeRequest,
    *,
    wish: KeepWish,
    tick: Tick,
) -> MeasuredFile:
    """Put a recording in a safe place, measure it, and keep what was measured.

    A recording that the player keeps and that cannot be measured stays, with the reason; in every other case of
    trouble, and where the player breaks off, nothing is left behind in the store.

    Args:
        store: what players keep.
        recording: the sound file.
        part: the part it is of, written out as it is played.
        request: what the player says of the take.
        wish: what is to be kept, and of which horn.
        tick: told now and then how much is done, 0..1.

    Raises:
        RequestError: nothing can have been played on that day.
        SoundError: the recording cannot be read or measured.
    """
    faults = day_faults(wish.played_on, today=today())
    if faults:
        raise RequestError(faults=faults)
    about = about_take(
        part.study,
        passage_of(part.study, bars=request.bars, a4_hz=request.a4_hz),
        request,
        owner=(wish.own.owned.player_id, wish.own.owned.id),
        file=part.name,
        played_on=wish.played_on,
        dynamic=wish.dynamic,
        tempo_qpm=wish.tempo_qpm,
        temperature_c=wish.celsius,
        remark=wish.remark,
        keeps_sound=wish.sound,
    )
    try:
        stream = recording.open("rb")
    except OSError as error:
        raise SoundError(f"the recording cannot be read: {error.strerror}", where=str(recording)) from error
    with stream:
        kept = store.receive_take(about, stream, called=recording.name, ending=recording.suffix, now=now())
    try:
        measured = measure_file(recording, part.study, request, tick=tick)
    except SlurwrightError as error:
        if wish.sound and isinstance(error, SoundError):
            store.fail_take(kept.id, str(error), now=now())
        else:
            _take_away(store, kept)
        raise
    except BaseException:
        _take_away(store, kept)
        raise
    return _kept(store, kept, measured, tones=wish.tones)


def name_of_horn(store: Store, kept: KeptTake) -> tuple[str, str | None]:
    """Say on which horn a take was played: its name and whose it is, or the id of a model.

    Args:
        store: what players keep.
        kept: the take.

    Raises:
        RequestError: the horn was put away, and with it what was learnt of it.
    """
    for player in store.players():
        for horn in store.horns(player.id):
            if horn.id == kept.about.horn_id:
                return horn.name, player.name
    if kept.about.horn_id is not None:
        raise RequestError(
            "the horn of this take was put away",
            got=_short(kept),
            allowed="slurwright horn restore NAME, and then this",
        )
    return kept.about.model, None


def asked_again(store: Store, kept: KeptTake, file: Path, horn: Horn, request: StudyRequest) -> StudiedFile:
    """Study the part of a take that is kept, under the conditions and on the fingerings that were asked for.

    Args:
        store: what players keep.
        kept: the take.
        file: its notation.
        horn: as it is known now.
        request: what the player asks beside.

    Raises:
        RequestError: the recording is not kept, or the file holds another part.
    """
    asked = kept.about.asked
    _recording(store, kept)
    wanted = replace(
        request,
        dynamic=request.dynamic or asked.dynamic,
        tempo_qpm=request.tempo_qpm or asked.tempo_qpm,
        reading=request.reading or (None if asked.reading == AS_WRITTEN else asked.reading),
    )
    part = asked_part(file, None, horn, wanted)
    if fingerprint(part.study.part) != kept.about.part.fingerprint:
        raise RequestError(
            "this is not the part that the take is of",
            got=file.name,
            allowed=f"{kept.about.part.file} as it was then, with the same --part, --voice and --written-for",
        )
    if request.pins or kept.state is not TakeState.MEASURED:
        return part
    before = store.measures_of(kept.id)
    return replace(part, study=on_kept_ways(part.study, before, first=asked.first))


def measure_again(
    store: Store, kept: KeptTake, part: StudiedFile, *, tried: Sequence[str], tones: bool, tick: Tick
) -> MeasuredFile:
    """Measure a take that is kept once more, and keep the new figures in place of the old.

    Args:
        store: what players keep.
        kept: the take.
        part: its part, written out as it is played.
        tried: techniques that were tried at slurs, as for `TakeRequest`; none for those that were said before.
        tones: steady notes become tones of the horn.
        tick: told now and then how much is done, 0..1.
    """
    recording = _recording(store, kept)
    asked = kept.about.asked
    if not tried and kept.state is TakeState.MEASURED:
        tried = tried_before(store.measures_of(kept.id))
    request = TakeRequest(bars=asked.bars or None, a4_hz=asked.a4_hz, tried=tuple(tried))
    return _kept(store, kept, measure_file(recording, part.study, request, tick=tick), tones=tones)


def _short(kept: KeptTake) -> str:
    return f"take {kept.id[:8]}"


def _recording(store: Store, kept: KeptTake) -> Path:
    """The file of a take's recording, or why there is none."""
    recording = store.sound_of(kept.id)
    if recording is None:
        where = "not kept" if kept.sound is None else "not on this machine"
        raise RequestError(f"the recording of this take is {where}, so it cannot be measured again", got=_short(kept))
    return recording


def _kept(store: Store, kept: KeptTake, measured: MeasuredFile, *, tones: bool) -> MeasuredFile:
    """Keep the measures of a take and, if asked, its steady notes."""
    about = kept.about
    found = (
        steady_tones(
            measured.taken,
            played_on=about.played_on,
            session=f"{about.played_on.isoformat()} take {kept.id[:8]}",
            temperature_c=about.asked.temperature_c,
        )
        if tones
        else ()
    )
    kept = store.keep_measures(
        kept.id,
        kept_measures(measured.taken, notices=measured.remarks),
        tones=[(one.asked, one.tone) for one in found],
        now=now(),
    )
    return replace(measured, kept=kept, tones=len(found))


def _take_away(store: Store, kept: KeptTake) -> None:
    store.delete_take(kept.id, now=now())
    store.purge_take(kept.id)
