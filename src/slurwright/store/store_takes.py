"""What a store is asked about takes; their recordings are files beside it."""

from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from datetime import date, datetime
from functools import partial
from pathlib import Path
from typing import BinaryIO

from slurwright.errors import StoreError
from slurwright.formats.collection import Collection
from slurwright.horn.owned import KeptReading, PlayedTone
from slurwright.listen.kept import KeptMeasures, KeptTake, PlayedSlur, TakeAbout, TakenNote
from slurwright.pitch import SoundingPitch
from slurwright.store import take_measures, take_tones, takes
from slurwright.store.opened import OpenedStore
from slurwright.store.sounds import (
    Astray,
    StagedSound,
    any_given_up,
    astray,
    opened_copy,
    remove_given_up,
    sound_name,
    staged,
    takes_folder,
)
from slurwright.store.unswept import unswept

__all__ = ["StoreOfTakes"]


class StoreOfTakes(OpenedStore):
    """Takes, their measures and their recordings."""

    def receive_take(self, about: TakeAbout, sound: BinaryIO, *, called: str, ending: str, now: datetime) -> KeptTake:
        """Keep a recording, given as the bytes of its file; safe on the disk when this comes back.

        It waits to be measured from then on, whatever becomes of this program.
        """
        take_id = self._new_id()
        name = sound_name(take_id, ending)
        known = partial(self._knows, take_id)
        with staged(self._takes, sound, name=name, called=called, known=known) as waiting, self._changing():
            take = takes.add_take(self._writer, take_id, about, waiting.file, now=now)
            waiting.settle()
        return take

    def _knows(self, take_id: str) -> bool:
        with self._seeing() as connection:
            return connection.execute("SELECT 1 FROM takes WHERE id = ?", (take_id,)).fetchone() is not None

    @property
    def _takes(self) -> Path:
        return takes_folder(self.path)

    def keep_measures(
        self, take_id: str, measures: KeptMeasures, *, tones: Sequence[tuple[int, PlayedTone]] = (), now: datetime
    ) -> KeptTake:
        """Keep what was measured in a take, in place of what was measured before.

        Its steady notes (index of the asked note, tone) become readings of its horn; those it gave before are
        withdrawn. Where the player does not keep the recording it is removed, not before all this is on the disk.
        """
        with self._changing():
            take = take_measures.keep_measures(self._writer, take_id, measures, now=now)
            if tones:
                take_tones.give_tones(self._writer, take_id, tones, now=now, new_id=self._new_id)
        self.finish_removals()
        return take

    def give_tones(
        self, take_id: str, tones: Sequence[tuple[int, PlayedTone]], *, now: datetime
    ) -> tuple[KeptReading, ...]:
        """Give steady notes of a take to its horn's readings, in place of those that it gave before."""
        with self._changing():
            return take_tones.give_tones(self._writer, take_id, tones, now=now, new_id=self._new_id)

    def fail_take(self, take_id: str, words: str, *, now: datetime) -> KeptTake:
        """Note why a take could not be measured; its sound stays and it can be tried again."""
        with self._changing():
            return take_measures.fail_take(self._writer, take_id, words, now=now)

    def take_of(self, beginning: str, *, deleted: bool = False) -> KeptTake:
        """Find a take by the beginning of its id; raises `StoreError` if none or several begin so."""
        with self._seeing() as connection:
            return takes.take_beginning(connection, beginning, deleted=deleted)

    def takes_of(
        self,
        player_id: str,
        *,
        horn_id: str | None = None,
        fingerprint: str | None = None,
        since: date | None = None,
        until: date | None = None,
        deleted: bool = False,
    ) -> tuple[KeptTake, ...]:
        """List a player's takes in the order in which they were received; some of them if asked."""
        with self._seeing() as connection:
            return takes.list_takes(
                connection,
                player_id,
                horn_id=horn_id,
                fingerprint=fingerprint,
                since=since,
                until=until,
                deleted=deleted,
            )

    def measures_of(self, take_id: str) -> KeptMeasures:
        """Give what was measured in a take; raises `StoreError` if it is not measured."""
        with self._seeing() as connection:
            return take_measures.measures_of(connection, take_id)

    def sound_of(self, take_id: str) -> Path | None:
        """Say in which file a take's recording is; None where it is not kept or not on this machine."""
        with self._seeing() as connection:
            sound = takes.take_of_id(connection, take_id).sound
        if sound is None or not (self._takes / sound.name).is_file():
            return None
        return self._takes / sound.name

    def slurs_of(
        self,
        player_id: str,
        *,
        horn_id: str | None = None,
        pair: tuple[SoundingPitch, SoundingPitch] | None = None,
        partials: tuple[int, int] | None = None,
        technique: str | None = None,
        since: date | None = None,
        until: date | None = None,
    ) -> tuple[PlayedSlur, ...]:
        """List measured slurs of all takes that stand, in the order in which they were played."""
        with unswept(), self._seeing() as connection:
            return tuple(
                take_measures.list_slurs(
                    connection,
                    player_id,
                    horn_id=horn_id,
                    pair=pair,
                    partials=partials,
                    technique=technique,
                    since=since,
                    until=until,
                )
            )

    def notes_of(
        self,
        player_id: str,
        *,
        horn_id: str | None = None,
        sounding: SoundingPitch | None = None,
        since: date | None = None,
        until: date | None = None,
    ) -> tuple[TakenNote, ...]:
        """List measured notes of all takes that stand, in the order in which they were played."""
        with unswept(), self._seeing() as connection:
            return tuple(
                take_measures.list_notes(
                    connection, player_id, horn_id=horn_id, sounding=sounding, since=since, until=until
                )
            )

    def note_on_take(self, take_id: str, note: str, *, now: datetime) -> KeptTake:
        """Set what the player wants to remember about a take."""
        with self._changing():
            return takes.note_on_take(self._writer, take_id, note, now=now)

    def delete_take(self, take_id: str, *, now: datetime) -> KeptTake:
        """Hide a take and withdraw the readings that it gave; say that it can be taken back."""
        with self._changing():
            return take_tones.delete_take(self._writer, take_id, now=now)

    def undelete_take(self, take_id: str, *, now: datetime) -> KeptTake:
        """Take the deletion of a take back; the readings that were withdrawn with it are restored."""
        with self._changing():
            return take_tones.undelete_take(self._writer, take_id, now=now)

    def purge_take(self, take_id: str) -> KeptTake:
        """Remove a deleted take, its measures and its recording for good; ask before.

        Readings that it gave stay with the horn as they are, withdrawn unless the player restored them.
        """
        with self._changing():
            take = takes.purge_take(self._writer, take_id)
        self.finish_removals()
        return take

    def forget_sound(self, take_id: str, *, now: datetime) -> KeptTake:
        """Remove a measured take's recording for good; its figures stay. Ask before."""
        with self._changing():
            take = takes.forget_sound(self._writer, take_id, now=now)
        self.finish_removals()
        return take

    def sounds_astray(self) -> Astray:
        """Say where the recordings on the disk and the takes do not agree."""
        with self._seeing() as connection:
            return astray(connection, self._takes)

    def finish_removals(self) -> None:
        """Remove the recordings that were given up; what fails is said and tried again at the next opening."""
        with self._seeing() as connection:
            if not any_given_up(connection):
                return
        try:
            with self._changing():
                left = remove_given_up(self._writer, self._takes)
        except StoreError as error:
            self.notices += (f"a recording that was given up could not be removed: {error}",)
            return
        self.notices += tuple(f"a recording that was given up could not be removed: {path}" for path in left)

    @contextmanager
    def _brought(self, incoming: Collection, sounds: Path | None) -> Iterator[list[StagedSound]]:
        """Have the recordings that come with an import, and are not here, waiting for their names."""
        with ExitStack() as stack:
            waiting = []
            for whole in incoming.takes if sounds is not None else ():
                take_id, sound = whole.take.id, whole.take.sound
                if sound is None or sounds is None or (self._takes / sound.name).exists():
                    continue
                stream = stack.enter_context(opened_copy(sounds / sound.name))
                if stream is not None:
                    known = partial(self._knows, take_id)
                    staging = staged(self._takes, stream, name=sound.name, called=sound.called, known=known)
                    waiting.append(stack.enter_context(staging))
                    waiting[-1].must_be(sound)
            yield waiting

    def _settle(self, waiting: Sequence[StagedSound]) -> int:
        """Give recordings their names whose takes, as they are now, have them; says how many."""
        wanted = {take.sound for take in takes.every_take(self._writer)} if waiting else set()
        brought = [sound for sound in waiting if sound.file in wanted and not sound.place.exists()]
        for sound in brought:
            sound.settle()
        return len(brought)
