"""Tones that were measured on a player's horn: from their words or a table to readings that can be kept."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from slurwright.errors import Fault, RequestError, SlurwrightError
from slurwright.formats.tones_csv import ToneRow, ToneTable
from slurwright.horn import Horn, fingerings_of
from slurwright.horn.learnt import ToneReading
from slurwright.horn.owned import PlayedTone, Source
from slurwright.jobs.air import AIR_C
from slurwright.jobs.tendencies import LARGEST_TENDENCY_CENTS
from slurwright.pitch import Reading, SoundingPitch, WrittenPitch
from slurwright.plan import ways_of
from slurwright.plan.ways import NOTICED_CENTS
from slurwright.score.dynamics import DYNAMIC_LEVELS

__all__ = ["BY_EAR_SD_CENTS", "Conditions", "tones_of_table", "tones_of_words"]

BY_EAR_SD_CENTS = NOTICED_CENTS
"""What a tone that was judged by ear is unsure of: as much as is just noticed (derived) [cents]."""
_BEYOND = 12
"""Nothing further outside the range of the horn is looked at; ours [semitones]."""
_NUMBER = re.compile(r"[+\-−]?\d+(?:\.\d+)?")


@dataclass(frozen=True, slots=True)
class Conditions:
    """What holds for all the tones of a sitting, unless a row of a table says otherwise."""

    on: date
    celsius: float | None = None
    """Air in the horn [degC]; None where it is not known."""
    dynamic: str | None = None
    """A mark such as "mf"; None is mf."""
    sitting: str = ""
    """Tells sittings of one day apart."""
    by_ear: bool = False
    reading: Reading | None = None
    """How the pitches are written; None for concert pitch."""


def tones_of_words(told: Sequence[str], horn: Horn, conditions: Conditions) -> tuple[PlayedTone, ...]:
    """Take tones as they are typed, each "pitch fingering cents", such as "F3 4 -12".

    Args:
        told: the words.
        horn: the model, as its slides are set.
        conditions: of the sitting.

    Raises:
        RequestError: one or more mean nothing on this horn; all faults at once.
    """
    rows, faults = [], []
    for words in _quoted(told):
        parts = words.split()
        if len(parts) == 3:
            rows.append(ToneRow(repr(words), *parts))
        else:
            faults.append(
                Fault("a tone is a note, a fingering and cents", got=repr(words), allowed='such as "F3 4 -12"')
            )
    return _tones(ToneTable(tuple(rows), tuple(faults)), horn, conditions, Source.TYPED)


def _quoted(told: Sequence[str]) -> Sequence[str]:
    """Join words that were typed without quotation marks into threes, where they come out even."""
    if len(told) % 3 == 0 and all(len(words.split()) == 1 for words in told):
        return [" ".join(told[at : at + 3]) for at in range(0, len(told), 3)]
    return told


def tones_of_table(table: ToneTable, horn: Horn, conditions: Conditions) -> tuple[PlayedTone, ...]:
    """Take tones from a table.

    Args:
        table: as it was read.
        horn: the model, as its slides are set.
        conditions: of the sitting, where a row does not say its own.

    Raises:
        RequestError: one or more rows mean nothing on this horn; all faults at once.
    """
    if not table.rows and not table.faults:
        raise RequestError("the table has columns and no rows")
    return _tones(table, horn, conditions, Source.CSV)


def _tones(table: ToneTable, horn: Horn, conditions: Conditions, source: Source) -> tuple[PlayedTone, ...]:
    faults = list(table.faults)
    tones: list[PlayedTone] = []
    for row in table.rows:
        wrong: list[Fault] = []
        tone = _tone(row, horn, conditions, source, wrong)
        faults += wrong
        if tone is not None and not wrong:
            tones.append(tone)
    if faults:
        raise RequestError(faults=tuple(faults))
    return tuple(tones)


def _tone(row: ToneRow, horn: Horn, conditions: Conditions, source: Source, wrong: list[Fault]) -> PlayedTone | None:
    """Make one reading; what is wrong with it is added to the faults, all of it."""
    pitches = _pitches(row, conditions.reading, wrong)
    cents = _cents(row, wrong)
    played_on = _day(row, conditions.on, wrong)
    celsius = _temperature(row, conditions.celsius, wrong)
    level = _dynamic(row, conditions.dynamic, wrong)
    sd_cents = _unsure(row, BY_EAR_SD_CENTS if conditions.by_ear else 0.0, wrong)
    if pitches is None or cents is None:
        _check_fingering(row, horn, wrong)
        return None
    sounding, written = pitches
    partial = _partial(row, horn, sounding, cents, wrong)
    sitting = " ".join((row.sitting or conditions.sitting).split())
    tone = ToneReading(
        sounding=sounding,
        fingering=row.fingering,
        partial=partial,
        cents=cents,
        session=f"{played_on.isoformat()} {sitting}".rstrip(),
        dynamic=level,
        temperature_c=celsius,
        sd_cents=sd_cents,
    )
    return PlayedTone(tone, played_on, source, written, row.note or ("by ear" if conditions.by_ear else ""))


def _pitches(
    row: ToneRow, reading: Reading | None, wrong: list[Fault]
) -> tuple[SoundingPitch, WrittenPitch | None] | None:
    try:
        if reading is None:
            return SoundingPitch.named(row.pitch), None
        written = WrittenPitch.named(row.pitch)
        return reading.transposition.to_sounding(written), written
    except SlurwrightError as error:
        wrong += [
            Fault(fault.problem, got=fault.got, allowed=fault.allowed, where=row.where) for fault in error.faults
        ]
        return None


def _number(text: str) -> float | None:
    if _NUMBER.fullmatch(text) is None:
        return None
    number = float(text.replace("−", "-"))
    return number if math.isfinite(number) else None


def _cents(row: ToneRow, wrong: list[Fault]) -> float | None:
    cents = _number(row.cents)
    if cents is None:
        wrong.append(
            Fault("not a figure in cents", got=repr(row.cents), allowed="such as -12 or +3.5", where=row.where)
        )
    elif abs(cents) > LARGEST_TENDENCY_CENTS:
        wrong.append(
            Fault(
                "so far out it is another note",
                got=f"{cents:+g} cents",
                allowed=f"within {LARGEST_TENDENCY_CENTS:g} cents of the note",
                where=row.where,
            )
        )
        return None
    return cents


def _day(row: ToneRow, usual: date, wrong: list[Fault]) -> date:
    if not row.date:
        return usual
    try:
        return date.fromisoformat(row.date)
    except ValueError:
        wrong.append(Fault("not a day", got=repr(row.date), allowed="year-month-day: 2026-01-31", where=row.where))
        return usual


def _temperature(row: ToneRow, usual: float | None, wrong: list[Fault]) -> float | None:
    celsius = _number(row.temperature) if row.temperature else usual
    low, high = AIR_C
    if (row.temperature and celsius is None) or (celsius is not None and not low <= celsius <= high):
        wrong.append(
            Fault(
                "not a temperature of air",
                got=repr(row.temperature) if row.temperature else f"{celsius:g}",
                allowed=f"{low:g} to {high:g} degrees Celsius",
                where=row.where,
            )
        )
        return None
    return celsius


def _dynamic(row: ToneRow, usual: str | None, wrong: list[Fault]) -> float:
    mark = row.dynamic or usual or "mf"
    if mark not in DYNAMIC_LEVELS:
        wrong.append(Fault("not a dynamic", got=repr(mark), allowed=", ".join(DYNAMIC_LEVELS), where=row.where))
    return DYNAMIC_LEVELS.get(mark, 0.0)


def _unsure(row: ToneRow, usual: float, wrong: list[Fault]) -> float:
    if not row.sd:
        return usual
    sd_cents = _number(row.sd)
    if sd_cents is None or not 0.0 <= sd_cents <= LARGEST_TENDENCY_CENTS:
        wrong.append(
            Fault(
                "not a standard error",
                got=repr(row.sd),
                allowed=f"0 to {LARGEST_TENDENCY_CENTS:g} cents",
                where=row.where,
            )
        )
        return usual
    return sd_cents


def _check_fingering(row: ToneRow, horn: Horn, wrong: list[Fault]) -> bool:
    known = fingerings_of(horn)
    if row.fingering in known:
        return True
    wrong.append(
        Fault(f"{horn.id} has no such fingering", got=row.fingering, allowed=", ".join(known), where=row.where)
    )
    return False


def _partial(row: ToneRow, horn: Horn, sounding: SoundingPitch, cents: float, wrong: list[Fault]) -> int:
    """Say which partial of the fingering was played: the one that lies nearest to what was heard."""
    if not _check_fingering(row, horn, wrong):
        return 1
    low, high = horn.possible
    near = low.midi - _BEYOND <= sounding.midi <= high.midi + _BEYOND
    ways = ways_of(sounding, horn) if near else ()
    own = [way for way in ways if way.fingering == row.fingering]
    if own:
        return min(own, key=lambda way: (abs(way.cents - cents), way.partial)).partial
    wrong.append(
        Fault(
            f"this fingering does not sound {sounding} on {horn.id}",
            got=row.fingering,
            allowed=", ".join(dict.fromkeys(way.fingering for way in ways))
            or f"nothing sounds it: the horn reaches from {low} to {high}",
            where=row.where,
        )
    )
    return 1
