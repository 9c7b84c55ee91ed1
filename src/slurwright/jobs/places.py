"""Where in a part: the player's words for a note ("12:3", "F3") turned into sounds of the line."""

import re
from collections.abc import Iterable, Mapping
from fractions import Fraction

from slurwright.errors import Fault, PitchError, RequestError
from slurwright.pitch import Reading, WrittenPitch
from slurwright.score import Line, Part

__all__ = ["bans_from", "pins_from", "sounds_at"]

_BAR_AND_BEAT = re.compile(r"([^:=]+):(\d{1,6}(?:\.\d{1,6}|/[1-9]\d{0,5})?)", re.ASCII)


def sounds_at(where: str, part: Part, line: Line, reading: Reading) -> tuple[int, ...]:
    """Say which sounds a place means.

    Args:
        where: ``bar:beat`` with the printed bar number and the beat counted from 1 (``12:3``, ``12:2.5``), or a
            written pitch in the player's reading, which means that note everywhere (``F3``).
        part: the part.
        line: its line.
        reading: the reading in which a written pitch is meant.

    Raises:
        RequestError: no note stands there, or the words mean nothing.
    """
    match = _BAR_AND_BEAT.fullmatch(where)
    if match:
        found = _at_beat(match[1].strip(), Fraction(match[2]), part, line)
        wanted = f"bar {match[1]}, beat {match[2]}"
    else:
        try:
            pitch = WrittenPitch.named(where)
        except PitchError:
            raise RequestError(
                "not a place in a part", got=repr(where), allowed="bar:beat such as 12:3, or a note such as F3"
            ) from None
        midi = reading.transposition.to_sounding(pitch).midi
        found = tuple(sound.index for sound in line.sounds if sound.sounding.midi == midi)
        wanted = f"written {pitch}"
    if not found:
        raise RequestError("no note stands there", got=wanted)
    return found


def _at_beat(bar: str, beat: Fraction, part: Part, line: Line) -> tuple[int, ...]:
    return tuple(
        sound.index
        for sound in line.sounds
        if any(
            part.measure_of(part.notes[note]).number == bar and part.beat_of(part.notes[note]) == beat
            for note in sound.notes
        )
    )


def pins_from(words: Iterable[str], part: Part, line: Line, reading: Reading) -> Mapping[int, str]:
    """Read pins such as ``12:3=4`` or ``F3=4`` into sound index -> fingering; gathers all faults."""
    pins: dict[int, str] = {}
    faults: list[Fault] = []
    for word in words:
        where, equals, fingering = word.partition("=")
        if not (equals and fingering):
            faults.append(Fault("a pin needs a place and a fingering", got=repr(word), allowed="12:3=4 or F3=1-3"))
            continue
        try:
            found = sounds_at(where, part, line, reading)
        except RequestError as error:
            faults.extend(error.faults)
            continue
        others = {pins[sound] for sound in found if pins.get(sound, fingering) != fingering}
        if others:
            got = f"{fingering} and {', '.join(sorted(others))}"
            faults.append(Fault("two pins contradict each other", got=got, where=where))
        pins.update(dict.fromkeys(found, fingering))
    if faults:
        raise RequestError(faults=tuple(faults))
    return pins


def bans_from(words: Iterable[str], part: Part, line: Line, reading: Reading) -> frozenset[tuple[int | None, str]]:
    """Read bans: ``4`` (never), ``F3=4`` (never for that note), ``12:3=4`` (not there); gathers all faults."""
    bans: set[tuple[int | None, str]] = set()
    faults: list[Fault] = []
    for word in words:
        where, equals, fingering = word.partition("=")
        if not (fingering if equals else where):
            faults.append(Fault("a ban needs a fingering", got=repr(word), allowed="1-3, F3=1-3 or 12:3=1-3"))
            continue
        if not equals:
            bans.add((None, word))
            continue
        try:
            bans.update((sound, fingering) for sound in sounds_at(where, part, line, reading))
        except RequestError as error:
            faults.extend(error.faults)
    if faults:
        raise RequestError(faults=tuple(faults))
    return frozenset(bans)
