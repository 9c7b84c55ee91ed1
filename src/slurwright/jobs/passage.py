"""What a player was asked to play, as the listening needs it: sounds in the order of play, in hertz and seconds."""

from dataclasses import dataclass, replace

from slurwright.errors import RequestError
from slurwright.horn.resonances import series_hz
from slurwright.listen.passage import AskedNote, Passage
from slurwright.pitch import A4_HZ, hz_of_midi
from slurwright.plan.study import Study
from slurwright.score import line_of

__all__ = ["A4_RANGE_HZ", "AskedPassage", "pace_of", "passage_of"]

A4_RANGE_HZ = (380.0, 480.0)
"""Tunings that are taken for one: from old low pitch to old high pitch, with room (common practice) [Hz]."""
_GRACE_LEAST_S = 0.04
"""No asked note is shorter than this, however the tempo may be [s]."""


@dataclass(frozen=True, slots=True)
class AskedPassage:
    """A passage and where each of its notes stands in the part."""

    passage: Passage
    sounds: tuple[int, ...]
    """For each note of the passage its index into ``Line.sounds``; rising without gaps."""


def passage_of(study: Study, *, bars: str | None = None, a4_hz: float = A4_HZ) -> AskedPassage:
    """Say what was asked: all of a part or some bars of it, on the plan's fingerings.

    Args:
        study: of a part that is written out as it is played, so that each sound comes once.
        bars: printed numbers of the first and last bar, "5-12", or of one; None for all.
        a4_hz: what the player tuned to [Hz].

    Raises:
        RequestError: there are no such bars, or nothing is played in them; or nobody tunes so.
    """
    low, high = A4_RANGE_HZ
    if not low <= a4_hz <= high:
        raise RequestError("nobody tunes so", got=f"A4 at {a4_hz:g} Hz", allowed=f"{low:g} to {high:g} Hz")
    sounds = tuple(range(len(study.line.sounds))) if bars is None else _sounds_in(bars, study)
    notes = _notes(study, a4_hz)
    first = notes[sounds[0]].onset_s
    chosen = [replace(notes[sound], onset_s=notes[sound].onset_s - first) for sound in sounds]
    chosen[-1] = replace(chosen[-1], slurred_to_next=False)
    return AskedPassage(Passage(tuple(chosen)), sounds)


def pace_of(study: Study) -> float:
    """Say how much faster than printed a part is studied, as the player or the conductor wants it [1].

    Args:
        study: of the part.
    """
    return line_of(study.part).sounds[0].duration_s / study.line.sounds[0].duration_s


def _notes(study: Study, a4_hz: float) -> list[AskedNote]:
    """Every sound of the line as it should sound."""
    line, plan = study.line, study.plan
    moves = {move.source: move for move in line.moves if move.target == move.source + 1}
    series: dict[str, tuple[float, ...]] = {}
    notes, onset_s = [], 0.0
    for sound, way in zip(line.sounds, plan.ways, strict=True):
        key = f"{way.fingering} {way.setting.ratio}"
        if key not in series:
            series[key] = series_hz(study.horn, way.setting, a4_hz=a4_hz)
        length_s = max(sound.duration_s, _GRACE_LEAST_S)
        move = moves.get(sound.index)
        notes.append(
            AskedNote(
                hz=hz_of_midi(sound.sounding.midi, a4_hz),
                onset_s=onset_s,
                length_s=length_s,
                slurred_to_next=move is not None and move.slurred,
                series_hz=series[key],
                partial=way.partial,
            )
        )
        onset_s += max(length_s, move.time_s) if move is not None else length_s
    return notes


def _sounds_in(bars: str, study: Study) -> tuple[int, ...]:
    first_name, dash, last_name = (word.strip() for word in bars.partition("-"))
    numbers = [measure.number for measure in study.part.measures]
    wrong = [name for name in (first_name, last_name or first_name) if name not in numbers]
    if wrong or (dash and not last_name):
        allowed = f"a bar or two bars of {numbers[0]} to {numbers[-1]}, such as {numbers[0]}-{numbers[-1]}"
        raise RequestError("no such bars in the part", got=repr(bars), allowed=allowed)
    first = numbers.index(first_name)
    try:
        last = numbers.index(last_name or first_name, first)
    except ValueError:
        raise RequestError("the last bar comes before the first", got=repr(bars)) from None
    found = tuple(
        sound.index for sound in study.line.sounds if first <= study.part.notes[sound.notes[0]].measure <= last
    )
    if not found:
        raise RequestError("nothing is played in these bars", got=bars)
    return found
