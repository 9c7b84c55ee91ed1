"""How the figures and verdicts of a take are said in a player's words, so that report, page and app say the same."""

from collections.abc import Mapping
from types import MappingProxyType

from slurwright.jobs.take.measured import MeasuredTake
from slurwright.listen.figure import Figure, Hidden, Measured, Veil
from slurwright.listen.measures import (
    Foreign,
    LevelCheck,
    LevelFault,
    Reason,
    Room,
    SlurMeasure,
    SlurOutcome,
    SlurPath,
)
from slurwright.listen.telling import telling
from slurwright.pitch import SoundingPitch, midi_of_hz

__all__ = [
    "OUTCOMES",
    "PATHS",
    "PROVISIONAL",
    "SIGNS",
    "SURE",
    "VEILS",
    "counted",
    "figure_text",
    "foreign_words",
    "heard_name",
    "level_words",
    "ordinal",
    "reason_words",
    "room_words",
    "slur_sign_text",
]

VEILS: Mapping[Veil, str] = MappingProxyType(
    {
        Veil.ROOM: "the room is too live for this figure",
        Veil.SHORT: "the sound is too short for its pitch",
        Veil.SOFT: "it hardly stands out from the noise",
        Veil.BETWEEN: "another note sounded between",
        Veil.UNHEARD: "not heard",
    }
)
OUTCOMES: Mapping[SlurOutcome, str] = MappingProxyType(
    {
        SlurOutcome.CLEAN: "spoke",
        SlurOutcome.TONGUED: "was tongued",
        SlurOutcome.BROKE: "broke",
        SlurOutcome.WRONG_NOTE: "landed on another note",
    }
)
PATHS: Mapping[SlurPath, str] = MappingProxyType(
    {
        SlurPath.DIRECT: "straight from note to note",
        SlurPath.SCOOP: "came in from below and crept up",
        SlurPath.OVERSHOOT: "went past the note and came back",
        SlurPath.PARTIAL: "went through another partial",
        SlurPath.FELL_BACK: "fell back to the first note before the second held",
    }
)
PROVISIONAL = (
    "How smooth a slur is runs from 0 (broken) to 1; its limits are ours and provisional. What the figures of a slur "
    "are worth was tried on made-up takes whose truth is known, not yet on players' own.",
    "Each figure stands with the interval that holds the truth nine times in ten.",
)
"""What must stand with the figures of every take."""
_LEVEL_FAULTS: Mapping[LevelFault, str] = MappingProxyType(
    {
        LevelFault.CLIPPED: "It is clipped: too loud for the microphone. Turn the input down, or step back a little.",
        LevelFault.SOFT: "It is very soft. Turn the input up, or go nearer to the microphone.",
        LevelFault.NOISY: "There is much noise beside the playing. Look for a quieter place, or go nearer to the "
        "microphone.",
        LevelFault.ECHO: "The room rings on, or the microphone is far away. Put it within half a metre of the bell.",
        LevelFault.PROCESSED: "The sound was processed: noise suppression or automatic gain was on. Turn both off, "
        "they change what is measured.",
        LevelFault.DROPOUTS: "The recording has holes: the device lost sound. Figures near them may be wrong.",
        LevelFault.SILENT: "It is all but silent. Turn the input up, or go nearer to the microphone.",
    }
)
SURE = 0.8
"""An outcome that is less sure is said with "probably" or a question mark; ours [1]."""
_SECOND, _THIRD = 2, 3
_LOPSIDED = 1.6
"""An interval whose sides differ by more is given by its ends, not as one figure after ±; ours [1]."""


def counted(number: int, what: str) -> str:
    """Say how many of something: "1 slur", "3 slurs".

    Args:
        number: how many [1].
        what: one of them.
    """
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def ordinal(number: int) -> str:
    """Say which one: "1st", "2nd", "11th".

    Args:
        number: counted from 1 [1].
    """
    ending = {1: "st", _SECOND: "nd", _THIRD: "rd"}.get(number % 10, "th")
    return f"{number}{'th' if number % 100 in {11, 12, 13} else ending}"


def figure_text(measured: Measured, unit: str = "", *, digits: int = 0, signed: bool = False) -> str:
    """Say a figure with its interval: "+12 ±1 cents"; a hidden one by what hides it.

    The interval is never printed smaller than the last digit shown.

    Args:
        measured: the figure.
        unit: what stands behind it; empty for none.
        digits: behind the point [1].
        signed: True sets a plus before what is above zero.
    """
    if isinstance(measured, Hidden):
        return VEILS[measured.why]
    behind = f" {unit}" if unit else ""
    low, high = measured.value - measured.low, measured.high - measured.value
    step = 10.0**-digits
    if max(low, high) > step and max(low, high) > _LOPSIDED * min(low, high):
        ends = f"{_number(measured.low, digits, signed=signed)} to {_number(measured.high, digits, signed=signed)}"
        return f"{_number(measured.value, digits, signed=signed)} ({ends}){behind}"
    half = max(step, low, high)
    return f"{_number(measured.value, digits, signed=signed)} ±{half:.{digits}f}{behind}"


def _number(value: float, digits: int, *, signed: bool) -> str:
    whole = round(value, digits) + 0.0
    return f"{whole:+.{digits}f}" if signed and whole else f"{whole:.{digits}f}"


def heard_name(taken: MeasuredTake, hz: float) -> str:
    """Name what sounded as the player reads it, to the nearest semitone.

    Args:
        taken: the take.
        hz: its pitch, above zero [Hz].
    """
    midi = round(midi_of_hz(hz, taken.a4_hz))
    return str(taken.study.reading.transposition.to_written(SoundingPitch.from_midi(midi)))


def foreign_words(taken: MeasuredTake, foreign: Foreign) -> str:
    """Name a note that sounded between two others."""
    name = heard_name(taken, foreign.hz)
    return name if foreign.partial is None else f"the {ordinal(foreign.partial)} partial ({name})"


def reason_words(taken: MeasuredTake, slur: SlurMeasure, reason: Reason) -> str:
    """Say what spoils a slur, with the figure that tells how much."""
    played = taken.measure.following.played
    simple: Mapping[Reason, tuple[str, Measured | None, str]] = {
        Reason.SILENCE: ("{} of silence", slur.silence_ms, "ms"),
        Reason.ABRUPT: ("an abrupt gap, {} deep", slur.dip_db, "dB"),
        Reason.TONGUE: ("the start of the second note sounds tongued", None, ""),
        Reason.FELL_BACK: ("fell back to the first note before the second held", None, ""),
        Reason.SLOW: ("slow, {} from note to note", slur.time_ms, "ms"),
        Reason.SCOOP: ("arrived {} low and crept up", slur.scoop_cents, "cents"),
        Reason.OVERSHOOT: ("went {} past the note and came back", slur.overshoot_cents, "cents"),
        Reason.WRONG_NOTE: (f"landed on {heard_name(taken, played[slur.second].hz)}", None, ""),
    }
    if reason is Reason.FOREIGN:
        if slur.foreign is None:
            return "another note sounded between"
        length = figure_text(slur.foreign.length_ms, "ms")
        return f"split through {foreign_words(taken, slur.foreign)} for {length}"
    words, figure, unit = simple[reason]
    if figure is None:
        return words
    if isinstance(figure, Figure):
        return words.format(figure_text(figure, unit))
    return f"{_BARE[reason]} (how much: {VEILS[figure.why]})"


_BARE = {
    Reason.SILENCE: "silence",
    Reason.ABRUPT: "an abrupt gap",
    Reason.SLOW: "slow",
    Reason.SCOOP: "arrived low and crept up",
    Reason.OVERSHOOT: "went past the note and came back",
}
SIGNS: Mapping[Reason, str] = MappingProxyType(
    {
        Reason.SILENCE: "gap",
        Reason.ABRUPT: "dip",
        Reason.TONGUE: "tongue",
        Reason.FOREIGN: "split",
        Reason.FELL_BACK: "fell back",
        Reason.SLOW: "slow",
        Reason.SCOOP: "scoop",
        Reason.OVERSHOOT: "past it",
        Reason.WRONG_NOTE: "landed on",
    }
)
"""One word for each thing that spoils a slur."""


def slur_sign_text(taken: MeasuredTake, slur: SlurMeasure) -> str:
    """Say a slur where there is room for two or three words: "gap 85 ms", "split D4", "clean"."""
    if slur.outcome is SlurOutcome.WRONG_NOTE:
        return f"landed on {heard_name(taken, taken.measure.following.played[slur.second].hz)}"
    if slur.outcome is SlurOutcome.TONGUED:
        return "tongued"
    reasons = telling(slur)
    if not reasons:
        return "clean" if slur.outcome is SlurOutcome.CLEAN else OUTCOMES[slur.outcome]
    first = reasons[0]
    if first is Reason.FOREIGN and slur.foreign is not None:
        return f"split {heard_name(taken, slur.foreign.hz)}, {slur.foreign.length_ms.value:.0f} ms"
    figures: Mapping[Reason, tuple[Measured, str]] = {
        Reason.SILENCE: (slur.silence_ms, "ms"),
        Reason.ABRUPT: (slur.dip_db, "dB"),
        Reason.SLOW: (slur.time_ms, "ms"),
        Reason.SCOOP: (slur.scoop_cents, "c"),
        Reason.OVERSHOOT: (slur.overshoot_cents, "c"),
    }
    figure, unit = figures.get(first, (None, ""))
    return f"{SIGNS[first]} {figure.value:.0f} {unit}" if isinstance(figure, Figure) else SIGNS[first]


def level_words(level: LevelCheck) -> tuple[str, ...]:
    """Say how good a recording is to measure from, a sentence each; one alone where all is well."""
    if not level.faults:
        return (f"The recording is good: {level.loud_db - level.noise_db:.0f} dB between playing and noise.",)
    return tuple(_LEVEL_FAULTS[fault] for fault in level.faults)


_DRY_DB, _NEAR_DB, _MID_DB = 18.0, 9.0, 4.5
"""Half way between the rooms that the figures were tried in; derived [dB]."""


def room_words(room: Room) -> str:
    """Say what the room does to the figures."""
    if isinstance(room.direct_db, Hidden):
        return "How the room answers could not be told from this take."
    direct = room.direct_db.value
    decay = f" (sound falls by 60 dB in {room.decay_s.value:.1f} s)" if isinstance(room.decay_s, Figure) else ""
    if direct >= _DRY_DB:
        return f"The room hardly answers{decay}: every figure can be trusted."
    if direct >= _NEAR_DB:
        return f"The room answers a little{decay}: figures of slurs are a little wider for it."
    if direct >= _MID_DB:
        return f"The room answers{decay}: figures of slurs are wider for it, the microphone would better be nearer."
    return (
        f"The room is live{decay}: much of what happens inside a slur is hidden. Put the microphone within half a "
        "metre of the bell."
    )
