"""Whether a horn can play a part at all; if it cannot, which notes and where, as the player counts bars."""

from collections.abc import Mapping, Sequence

from slurwright.errors import Fault, FingeringError, PlanError
from slurwright.horn import Horn, HornKind
from slurwright.pitch import Reading, SoundingPitch
from slurwright.plan import Way
from slurwright.score import Line, Part

__all__ = ["refuse_pins", "refuse_unplayable"]

_MOST_FAULTS = 5


def refuse_unplayable(
    part: Part, line: Line, horn: Horn, reading: Reading, *, ways: Mapping[SoundingPitch, Sequence[Way]]
) -> None:
    """Say which notes of a part nothing on the horn sounds.

    Args:
        part: as read.
        line: its sounds.
        horn: the player's horn.
        reading: how the player reads.
        ways: each pitch of the line, with every way that sounds it.

    Raises:
        PlanError: at least one note has no way; names the first place of each, lowest notes first.
    """
    silent = sorted((pitch for pitch, found in ways.items() if not found), key=lambda pitch: pitch.midi)
    if not silent:
        return
    low, high = horn.possible
    gaps = ", ".join(str(SoundingPitch.from_midi(midi)) for midi in horn.gaps)
    allowed = f"sounding {low} to {high}" + (f" without {gaps}" if gaps else "")
    held = "position" if horn.kind is HornKind.SLIDE else "fingering"
    faults = [
        Fault(
            f"no {held} of {horn.name} sounds this note", _named(pitch, reading), allowed, _places(part, line, pitch)
        )
        for pitch in silent[:_MOST_FAULTS]
    ]
    if len(silent) > _MOST_FAULTS:
        faults.append(Fault(f"and {len(silent) - _MOST_FAULTS} other notes out of reach"))
    faults.append(Fault("another octave, voice or reading may be meant: see --voice and --written-for"))
    raise PlanError(faults=tuple(faults))


def _named(pitch: SoundingPitch, reading: Reading) -> str:
    written = str(reading.transposition.to_written(pitch))
    return written if written == str(pitch) else f"{written}, sounding {pitch}"


def _places(part: Part, line: Line, pitch: SoundingPitch) -> str:
    """Name the first place of a pitch, and count the others."""
    found = [sound.index for sound in line.sounds if sound.sounding == pitch]
    more = f" and {len(found) - 1} more" if len(found) > 1 else ""
    return _place(part, line, found[0]) + more


def refuse_pins(
    pins: Mapping[int, str],
    part: Part,
    line: Line,
    horn: Horn,
    *,
    ways: Mapping[SoundingPitch, Sequence[Way]],
) -> None:
    """Refuse fingerings that cannot sound the notes they are pinned to, each once.

    Args:
        pins: index of a sound, and its fingering.
        part: as the player reads it.
        line: its sounds.
        horn: the player's horn.
        ways: each pitch of the line, with every way that sounds it.

    Raises:
        FingeringError: at least one pin cannot be kept; names the first place of each.
    """
    faults: dict[tuple[SoundingPitch, str], Fault] = {}
    for index, fingering in sorted(pins.items()):
        pitch = line.sounds[index].sounding
        able = [way.fingering for way in ways[pitch]]
        if fingering not in able and (pitch, fingering) not in faults:
            name = part.notes[line.sounds[index].notes[0]].written
            faults[pitch, fingering] = Fault(
                f"on {horn.name} this fingering cannot sound {name}",
                fingering,
                ", ".join(able),
                _place(part, line, index),
            )
    if faults:
        raise FingeringError(faults=tuple(faults.values()))


def _place(part: Part, line: Line, index: int) -> str:
    note = part.notes[line.sounds[index].notes[0]]
    return f"bar {part.measure_of(note).number}, beat {part.beat_of(note)}"
