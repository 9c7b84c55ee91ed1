"""How figures of a study are said on pages, in files and in reports, so that all of them say the same."""

import math
import re
from fractions import Fraction

from slurwright.horn import Horn
from slurwright.plan import SlurReport
from slurwright.plan.study import Study

__all__ = [
    "CAUTIONS",
    "HEADPHONES",
    "NEVER_FORCE",
    "PRIOR",
    "attempts_text",
    "bar_of",
    "beat_text",
    "cents_text",
    "clock_text",
    "in_print",
    "note_name",
    "part_name",
    "percent",
    "place_of",
    "provenance_of",
    "slips_text",
    "slur_notes",
    "slur_sign",
    "title_of",
    "tones_text",
    "unbroken",
]

_NOTE_NAME = re.compile(r"\b([A-G])(b{1,2}|#{1,2})(-?\d)\b")

_PRINT_SIGNS = str.maketrans("b#", "♭♯")

CAUTIONS = (
    "Rest at least as long as you play, and stop if it hurts; see your teacher or a medical professional about pain "
    "that stays.",
    "Practise the normal way first. The other choices are there for the day when it does not hold.",
)

HEADPHONES = "Keep a drone in headphones softer than your own playing: a tone that goes on is soon too loud."

NEVER_FORCE = "Never force a slide; leave valve and solder work to a repairer."

PRIOR = (
    "Chances are priors: common practice put into figures, provisional, not yet learnt from your own playing.",
    "Cents come from tube lengths and the harmonic series, against equal temperament at A4 = 440 Hz; a real horn may "
    "well lie a dozen cents from them.",
)


def title_of(study: Study) -> str:
    """Say what the music is called: its title, or what is played and on what where the file has none."""
    return study.part.title.strip() or study.part.name.strip() or study.horn.name


def part_name(study: Study) -> str:
    """Say whose part it is; empty where the file does not say, or where title or horn say the same already."""
    name = study.part.name.strip()
    said = name == study.part.part_id or name.endswith(title_of(study)) or study.horn.name.startswith(name)
    return "" if said else name


def provenance_of(study: Study) -> tuple[str, ...]:
    """Say where the figures of a study come from, a line each."""
    return _chances_from(study), _cents_from(study.horn)


def _chances_from(study: Study) -> str:
    if study.learnt_from is None:
        return PRIOR[0]
    attempts = attempts_text(study.learnt_from.attempts)
    if study.priors_only:
        return (
            "Chances are priors alone, as you asked: common practice put into figures, provisional. What your "
            f"{attempts} say stands beside."
        )
    return (
        f"Chances of slurs and fingers are learnt from your {attempts}, older ones counted less, as far as these "
        "reach; all others are priors: common practice put into figures, provisional."
    )


def _cents_from(horn: Horn) -> str:
    if not horn.measured_tones:
        return PRIOR[1]
    return (
        f"Cents are learnt from {tones_text(horn.measured_tones)} measured on this horn, together with its tube "
        "lengths, against equal temperament at A4 = 440 Hz; the spread says how well each way is known from them."
    )


def attempts_text(count: float) -> str:
    """Say how many attempts: "1 attempt", "23 attempts".

    Args:
        count: of attempts, older ones counted less [1].
    """
    whole = round(count)
    return f"{whole} attempt{'' if whole == 1 else 's'}"


def tones_text(count: int) -> str:
    """Say how many tones: "1 tone", "12 tones"."""
    return f"{count} tone{'' if count == 1 else 's'}"


def percent(chance: float) -> str:
    """Say a chance: whole percent, and never 0 or 100 when it is not.

    Args:
        chance: 0 to 1 [1].
    """
    if chance <= 0.0:
        return "0 %"
    if chance <= 0.005:
        return "< 1 %"
    if 0.995 <= chance < 1.0:
        return "> 99 %"
    return f"{100 * chance:.0f} %"


def slips_text(chance: float) -> str:
    """Say how many things go wrong on average where a chance is left that nothing does: -ln P, to a tenth.

    Many small risks that add up make this a Poisson count (derived); for long parts it says more than the chance.

    Args:
        chance: that nothing goes wrong, above 0 [1].
    """
    return f"{-math.log(max(chance, 1e-300)):.1f}".replace("-0.0", "0.0")


def cents_text(cents: float) -> str:
    """Say a tendency with its sign, whole cents.

    Args:
        cents: sharp above zero [cents].
    """
    whole = round(cents)
    return f"{whole:+d}" if whole else "0"


def clock_text(length_s: float) -> str:
    """Say a length of time to five seconds, from ten minutes on to the minute: "45 s", "1 min 30 s", "29 min".

    Args:
        length_s: how long [s].
    """
    if length_s >= 600.0:
        return f"{round(length_s / 60.0)} min"
    minutes, left = divmod(5 * max(1, round(length_s / 5.0)), 60)
    return " ".join([*([f"{minutes} min"] if minutes else []), *([f"{left} s"] if left or not minutes else [])])


def note_name(study: Study, sound: int) -> str:
    """Name a sound of the line as the player reads it, ASCII: ``Bb3``."""
    return str(study.part.notes[study.line.sounds[sound].notes[0]].written)


def place_of(study: Study, sound: int) -> str:
    """Name a note with its place, as a pin would: ``bar 3, beat 1: F3``."""
    note = study.part.notes[study.line.sounds[sound].notes[0]]
    bar = study.part.measure_of(note).number
    return f"bar {bar}, beat {beat_text(study.part.beat_of(note))}: {note_name(study, sound)}"


def beat_text(beat: Fraction) -> str:
    """Write a beat as a pin takes it: 2.5, or a fraction such as 4/3 where no short decimal is exact.

    Args:
        beat: counted from 1 [beats of the time signature].
    """
    short = f"{float(beat):g}"
    return short if Fraction(short) == beat else str(beat)


def in_print(words: str) -> str:
    """Set the ASCII note names in a text with the signs that print has: ``B♭3``.

    Args:
        words: any text.
    """
    return _NOTE_NAME.sub(
        lambda name: f"{name[1]}{'♭' * name[2].count('b')}{'♯' * name[2].count('#')}{name[3]}", words
    )


def unbroken(words: str) -> str:
    """Keep words on one line where that is possible.

    Args:
        words: such as "play 3 min 15 s".
    """
    return words.replace(" ", "\N{NO-BREAK SPACE}")


def slur_notes(study: Study, report: SlurReport) -> str:
    """Name a slur by its two written notes: ``F3 to Bb3``."""
    move = study.line.moves[report.move]
    return f"{note_name(study, move.source)} to {note_name(study, move.target)}"


def bar_of(study: Study, report: SlurReport) -> str:
    """Give the printed number of the bar in which a slur is left."""
    note = study.part.notes[study.line.sounds[study.line.moves[report.move].source].notes[-1]]
    return study.part.measure_of(note).number


def slur_sign(number: int, report: SlurReport) -> str:
    """Sign of a weak slur where there is room for one short text: ``slur 3: 24 %``."""
    return f"slur {number}: {percent(report.break_risk)}"
