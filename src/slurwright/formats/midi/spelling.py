"""How a key number is spelled in a key, and which key fits a line that states none.

Pitch classes are put on the line of fifths (F C G D A E B …); in a key, the twelve that lie nearest are used:
from five fifths below the tonic's major scale start to six above, one further up in minor so that the leading
tone is a sharp. Common practice.
"""

from collections.abc import Iterable, Sequence

from slurwright.pitch import SoundingPitch, WrittenPitch
from slurwright.score import Key

__all__ = ["key_named", "likely_key", "shown_accidentals", "spell", "spell_line"]

_FIFTHS = "FCGDAEB"
_SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_MAJOR_STEPS = (0, 2, 4, 5, 7, 9, 11)
_SIGN_WORDS = {-2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp"}


def key_named(name: str) -> Key:
    """Read a key name of the MIDI kind: "Bb", "F#m"."""
    minor = name.endswith("m")
    tonic = name.removesuffix("m")
    fifths = _FIFTHS.index(tonic[0]) - 1 + 7 * (tonic.count("#") - tonic.count("b"))
    return Key(fifths - 3, "minor") if minor else Key(fifths)


def spell_line(midis: Sequence[int], keys: Sequence[Key]) -> list[SoundingPitch]:
    """Spell the notes of a line.

    A note outside the key that moves on by a semitone is spelled as it leads: a raised step upward, a lowered step
    downward.

    Args:
        midis: key numbers, 60 is middle C; shape=(n,) [semitones].
        keys: the key in force at each; shape=(n,).

    """
    spelled: list[SoundingPitch] = []
    for at, (midi, key) in enumerate(zip(midis, keys, strict=True)):
        fifths = _fifths_in(midi, key)
        if at + 1 < len(midis) and not -1 <= fifths - key.fifths <= 5:
            move = midis[at + 1] - midi
            led = _fifths_in(midis[at + 1], keys[at + 1]) + 5 * move
            if abs(move) == 1 and -7 <= led < 12:
                fifths = led
        spelled.append(_at_fifths(midi, fifths))
    return spelled


def spell(midi: int, key: Key) -> SoundingPitch:
    """Spell a key number in a key.

    Args:
        midi: key number, 60 is middle C [semitones].
        key: the key signature in force.

    """
    return _at_fifths(midi, _fifths_in(midi, key))


def _fifths_in(midi: int, key: Key) -> int:
    """Place on the line of fifths, C being 0, that a key gives to a key number."""
    lowest = key.fifths - (3 if key.mode == "minor" else 4)
    return next(f for f in range(lowest, lowest + 12) if (7 * f) % 12 == midi % 12)


def _at_fifths(midi: int, fifths: int) -> SoundingPitch:
    alter, at = divmod(fifths + 1, 7)
    step = _FIFTHS[at]
    return SoundingPitch(step, alter, (midi - alter - _SEMITONES[step]) // 12 - 1)


def likely_key(midis: Iterable[int]) -> Key:
    """Say in which major key a line needs the fewest accidentals; ties go to the fewest signs, then to flats.

    Args:
        midis: key numbers of the line [semitones].

    """
    counts = [0] * 12
    for midi in midis:
        counts[midi % 12] += 1

    def outside(fifths: int) -> int:
        scale = {(7 * fifths + step) % 12 for step in _MAJOR_STEPS}
        return sum(count for pitch_class, count in enumerate(counts) if pitch_class not in scale)

    return Key(min(range(-6, 7), key=lambda fifths: (outside(fifths), abs(fifths), fifths)))


def shown_accidentals(notes: Sequence[tuple[int, WrittenPitch, bool]], keys: Sequence[Key]) -> list[str]:
    """Say which accidental is printed at each note: one that the key and the bar so far do not give.

    Args:
        notes: bar index, written pitch and whether a tie leads into it.
        keys: key of each bar.

    """
    shown: list[str] = []
    bar = -1
    state: dict[tuple[str, int], int] = {}
    for measure, pitch, tied in notes:
        if measure != bar:
            bar, state = measure, {}
        step = (pitch.step, pitch.octave)
        in_force = state.get(step, _key_alter(pitch.step, keys[measure].fifths))
        if tied:
            shown.append("")
            continue
        shown.append(_SIGN_WORDS.get(pitch.alter, "") if pitch.alter != in_force else "")
        state[step] = pitch.alter
    return shown


def _key_alter(step: str, fifths: int) -> int:
    at = _FIFTHS.index(step)
    return (fifths - at + 6) // 7
