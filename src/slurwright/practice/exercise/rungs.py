"""Which fingerings make the chain of a horn, and which notes stand on its rungs.

The chain goes from the open tube down by semitones, as far as the horn has a fingering for each. It is worked out
from the lengths of the horn's own settings: a setting is taken for so many semitones if it lowers the tube by as
much, up to `_SHARP_CENTS` less or `_FLAT_CENTS` more (combinations come out short; the limits are those by which
fingering charts of three and four valves come out, see the normal fingerings). Of several that do, the one that is
normal for most notes of the horn is the link; then the one least out of tune; then the one with the fewest valves.
Each side of a double horn, and each state of a trombone's rotors, has its own chain.
"""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from slurwright.horn import Horn, Setting
from slurwright.pitch import Reading, SoundingPitch, WrittenPitch, cents_of_ratio
from slurwright.plan import Way, ways_of

__all__ = ["Link", "Rungs", "Stand", "chain_of", "partial_semitones", "usual_partials"]

_SHARP_CENTS = 90.0
_FLAT_CENTS = 10.0
_HIGHEST_PARTIAL = 16
_LETTERS = {0: 0, 1: 1, 2: 1, 3: 2, 4: 2, 5: 3, 6: 3, 7: 4, 8: 5, 9: 5, 10: 6, 11: 6}
"""Letters above the root by which an interval within the octave is spelled, by its semitones. Common practice."""
_ROOTS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
_FLAT_ROOTS = ("F", "Bb", "Eb", "Ab", "Db")


@dataclass(frozen=True, slots=True)
class Link:
    """One fingering of the chain."""

    setting: Setting
    step: int
    """How far it lowers the open tube of its side [semitones]."""
    root_midi: int
    """Its first partial, as a key number at concert pitch [semitones]."""


@dataclass(frozen=True, slots=True)
class Stand:
    """A note on a rung: one partial of one link, as it is read and played."""

    written: WrittenPitch
    sounding: SoundingPitch
    way: Way


def chain_of(horn: Horn, *, side: str = "", most: int = 7) -> tuple[Link, ...]:
    """Say which fingerings lower a horn's tube semitone by semitone, the open one first.

    Args:
        horn: the instrument.
        side: side of a double horn, or state of the rotors; "" for the main one.
        most: at most so many links.

    """
    settings = [setting for setting in horn.settings if setting.side == side]
    if not settings:
        return ()
    base = _open_ratio(settings)
    votes = Counter(fingering for fingering, _ in horn.normal.values())
    by_step: dict[int, list[tuple[int, float, int, str, Setting]]] = {}
    for setting in settings:
        lowered = cents_of_ratio(setting.exact_ratio / base)
        step = math.floor((lowered + _SHARP_CENTS) / 100.0)
        if 100.0 * step - lowered < -_FLAT_CENTS:
            continue
        fault = round(abs(100.0 * step - lowered), 3)
        merit = (-votes[setting.fingering], fault, len(setting.pressed), setting.fingering, setting)
        by_step.setdefault(step, []).append(merit)
    open_midi = horn.open_pitch.midi - round(12.0 * math.log2(base))
    chain: list[Link] = []
    while len(chain) < most and (step := len(chain)) in by_step:
        best = min(by_step[step], key=lambda merit: merit[:4])
        chain.append(Link(best[4], step, open_midi - step))
    return tuple(chain)


def _open_ratio(settings: Sequence[Setting]) -> float:
    """Length of a side's open tube: the setting with nothing pressed but what turns the side on [1]."""
    fewest = min(len(setting.pressed) for setting in settings)
    return min(setting.exact_ratio for setting in settings if len(setting.pressed) == fewest)


def partial_semitones(partial: int) -> int:
    """Semitone nearest to a partial above the first one [semitones].

    Args:
        partial: from 1 [1].

    """
    return round(12.0 * math.log2(partial))


def usual_partials(stray_cents: float) -> tuple[int, ...]:
    """Partials that lie near a semitone, lowest first.

    Args:
        stray_cents: how far from one they may lie [cents].

    """
    return tuple(
        partial
        for partial in range(1, _HIGHEST_PARTIAL + 1)
        if abs(cents_of_ratio(partial) - 100.0 * partial_semitones(partial)) <= stray_cents
    )


@dataclass(frozen=True, slots=True)
class Rungs:
    """Finds notes on the rungs of a horn, within a player's range and in their reading."""

    horn: Horn
    reading: Reading
    low_midi: int
    """Lowest note that may be asked for, at concert pitch [semitones]."""
    high_midi: int
    flat_roots: bool
    """True spells the root between F and G as G flat."""
    known: dict[int, tuple[Way, ...]] = field(default_factory=dict)
    """Ways that were looked up already, by note."""

    @classmethod
    def on(cls, horn: Horn, reading: Reading, *, low_midi: int, high_midi: int) -> "Rungs":
        """Begin with a horn whose open tube says whether flats or sharps are usual."""
        open_class = (horn.open_pitch.midi - reading.transposition.semitones) % 12
        return cls(horn, reading, low_midi, high_midi, _ROOTS[open_class] in _FLAT_ROOTS)

    def stand(self, link: Link, partial: int) -> Stand | None:
        """Give the note of a partial on a link; None where it is out of range or nothing is in tune there."""
        above = partial_semitones(partial)
        midi = link.root_midi + above
        if not self.low_midi <= midi <= self.high_midi:
            return None
        way = self.way(midi, link.setting.fingering, partial)
        if way is None:
            return None
        written = self._spelled(link, above)
        return Stand(written, self.reading.transposition.to_sounding(written), way)

    def way(self, midi: int, fingering: str, partial: int) -> Way | None:
        """Find a way of a note by its fingering and partial; None where the horn does not sound it so."""
        if midi not in self.known:
            self.known[midi] = ways_of(SoundingPitch.from_midi(midi), self.horn)
        found = (way for way in self.known[midi] if (way.fingering, way.partial) == (fingering, partial))
        return next(found, None)

    def _spelled(self, link: Link, above: int) -> WrittenPitch:
        """Spell a note as a member of the chord that its tube sounds."""
        root_key = link.root_midi - self.reading.transposition.semitones
        name = _ROOTS[root_key % 12]
        if name == "F#" and self.flat_roots:
            name = "Gb"
        root = WrittenPitch.named(f"{name}{root_key // 12 - 1}")
        letters = root.diatonic + 7 * (above // 12) + _LETTERS[above % 12]
        octave, letter = divmod(letters, 7)
        plain = WrittenPitch("CDEFGAB"[letter], 0, octave)
        return WrittenPitch(plain.step, root_key + above - plain.staff_key, octave)
