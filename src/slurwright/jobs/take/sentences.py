"""What became of each note and each slur of a take, a sentence each, and the take as a whole in a few."""

from slurwright.jobs.take.measured import MeasuredTake
from slurwright.jobs.take.words import (
    OUTCOMES,
    SURE,
    VEILS,
    counted,
    figure_text,
    heard_name,
    reason_words,
)
from slurwright.jobs.words import note_name, place_of
from slurwright.listen.figure import Figure, Hidden
from slurwright.listen.followed import PlayedAs
from slurwright.listen.measures import NoteMeasure, Reason, SlurMeasure, SlurOutcome
from slurwright.listen.summary import TakeSummary, summary_of
from slurwright.listen.telling import hidden_by, telling
from slurwright.plan import Technique

__all__ = [
    "followed_words",
    "happenings",
    "missed_words",
    "note_place",
    "note_sentence",
    "note_words",
    "slur_place",
    "slur_sentence",
    "slur_words",
    "summary_words",
    "tuning_words",
]

_SCOOP_CENTS, _DRIFT_CENTS, _WANDER_CENTS = 10.0, 10.0, 12.0
"""Smaller scoops, drifts and unsteadiness of a note are not worth a word: about what is noticed (ours) [cents]."""
_MOST_NAMED = 3
_IN_TUNE_CENTS = 2.0
"""A take that lies nearer to its target than this lies in tune: no tuner in a band room says more (ours) [cents]."""


def note_place(taken: MeasuredTake, asked: int) -> str:
    """Say where an asked note stands: ``bar 5, beat 2: F3``.

    Args:
        taken: the take.
        asked: index into the passage [1].
    """
    return place_of(taken.study, taken.sounds[asked])


def _name(taken: MeasuredTake, asked: int) -> str:
    return note_name(taken.study, taken.sounds[asked])


def note_words(taken: MeasuredTake, note: NoteMeasure) -> str:
    """Say what became of a note: how far out it is, and what else is worth a word."""
    played = taken.measure.following.played[note.played]
    if played.played_as is PlayedAs.WRONG:
        return f"{heard_name(taken, played.hz)} sounded instead"
    if played.played_as is PlayedAs.OCTAVE:
        return f"{heard_name(taken, played.hz)} sounded, in another octave"
    if isinstance(note.cents, Hidden):
        return f"no pitch: {VEILS[note.cents.why]}"
    words = [figure_text(note.cents, "cents", digits=1, signed=True)]
    if isinstance(note.scoop_cents, Figure) and note.scoop_cents.low > _SCOOP_CENTS:
        words.append(f"starts {figure_text(note.scoop_cents)} low")
    drift = note.drift_cents_s
    length_s = note.steady_s[1] - note.steady_s[0]
    if isinstance(drift, Figure) and abs(drift.value) * length_s > _DRIFT_CENTS and drift.low * drift.high > 0:
        words.append(f"{'rises' if drift.value > 0 else 'sinks'} by {abs(drift.value) * length_s:.0f}")
    if isinstance(note.wander_cents, Figure) and note.wander_cents.value > _WANDER_CENTS:
        words.append("unsteady")
    if note.vibrato is not None:
        rate, extent = note.vibrato.rate_hz.value, note.vibrato.extent_cents.value
        words.append(f"vibrato {rate:.1f} a second, {extent:.0f} each way")
    return ", ".join(words)


def note_sentence(taken: MeasuredTake, note: NoteMeasure) -> str:
    """Say where a note stands and what became of it."""
    asked = taken.measure.following.played[note.played].asked
    where = note_place(taken, asked) if asked is not None else "an extra sound"
    return f"{where}, {note_words(taken, note)}."


def missed_words(taken: MeasuredTake, asked: int) -> str:
    """Say that a note did not sound.

    Args:
        taken: the take.
        asked: index into the passage [1].
    """
    return f"{note_place(taken, asked)} did not sound."


def slur_place(taken: MeasuredTake, slur: SlurMeasure) -> str:
    """Say where a slur stands: ``bar 5, beat 2: F3 to Bb3``."""
    played = taken.measure.following.played
    first, second = played[slur.first].asked, played[slur.second].asked
    if first is None or second is None:
        return f"at {played[slur.first].onset_s:.1f} s"
    return f"{note_place(taken, first)} to {_name(taken, second)}"


def slur_words(taken: MeasuredTake, slur: SlurMeasure) -> str:
    """Say what became of a slur, and what spoils it, heaviest first."""
    said = {SlurOutcome.TONGUED: {Reason.TONGUE}, SlurOutcome.WRONG_NOTE: {Reason.WRONG_NOTE}}
    left = [reason for reason in telling(slur) if reason not in said.get(slur.outcome, set())]
    reasons = "; ".join(reason_words(taken, slur, reason) for reason in left)
    verdict = OUTCOMES[slur.outcome]
    if slur.outcome is SlurOutcome.WRONG_NOTE:
        verdict = reason_words(taken, slur, Reason.WRONG_NOTE)
    if _tongued_as_tried(taken, slur):
        verdict += " as was tried"
    if slur.outcome_chance < SURE:
        was, rest = ("was ", verdict[4:]) if verdict.startswith("was ") else ("", verdict)
        verdict = f"{was}probably {rest}"
    if slur.outcome is SlurOutcome.CLEAN:
        if reasons:
            return f"{verdict}, but {reasons}"
        if isinstance(slur.time_ms, Figure):
            return f"{verdict}, {figure_text(slur.time_ms, 'ms')} from note to note"
        return f"{verdict} (its time: {VEILS[slur.time_ms.why]})"
    if slur.outcome is SlurOutcome.BROKE and not reasons:
        veil = hidden_by(slur)
        return verdict if veil is None else f"{verdict}; how cannot be told: {VEILS[veil]}"
    return f"{verdict}: {reasons}" if reasons else verdict


def _tongued_as_tried(taken: MeasuredTake, slur: SlurMeasure) -> bool:
    first = taken.measure.following.played[slur.first].asked
    tried = Technique.PLAIN if first is None else taken.technique_at(first)
    return slur.outcome is SlurOutcome.TONGUED and tried is Technique.LEGATO_TONGUE


def slur_sentence(taken: MeasuredTake, slur: SlurMeasure) -> str:
    """Say where a slur stands and what became of it."""
    return f"{slur_place(taken, slur)} {slur_words(taken, slur)}."


def happenings(taken: MeasuredTake) -> tuple[str, ...]:
    """Say in order of time all that was not as asked: slurs with a fault, other notes, missed ones, going back."""
    measure = taken.measure
    played = measure.following.played
    said = [
        (played[slur.second].onset_s, slur_sentence(taken, slur))
        for slur in measure.slurs
        if slur.outcome is not SlurOutcome.CLEAN or telling(slur)
    ]
    said += [
        (played[note.played].onset_s, note_sentence(taken, note))
        for note in measure.notes
        if played[note.played].played_as is not PlayedAs.ASKED
    ]
    said += [
        (note.onset_s, f"at {note.onset_s:.1f} s: {heard_name(taken, note.hz)} sounded, which nobody asked for.")
        for note in played
        if note.played_as is PlayedAs.EXTRA
    ]
    for asked in measure.following.missed:
        later = (note.onset_s for note in played if note.asked is not None and note.asked > asked)
        said.append((next(later, measure.length_s), missed_words(taken, asked)))
    for index in measure.following.restarts:
        asked_there = played[index].asked
        if asked_there is not None:
            before = next((note.asked for note in reversed(played[:index]) if note.asked is not None), asked_there)
            went = "jumped ahead" if asked_there > before else "went back"
            said.append((played[index].onset_s, f"{note_place(taken, asked_there)}, {went} to here."))
    return tuple(sentence for _, sentence in sorted(said))


def summary_words(taken: MeasuredTake, summary: TakeSummary | None = None) -> tuple[str, ...]:
    """Say a take in a few sentences: its slurs, its tuning, which notes lie furthest out, and what was left out."""
    summary = summary or summary_of(taken.measure)
    return tuple(
        filter(
            None, (_slurs(taken, summary), tuning_words(summary), _furthest(taken, summary), followed_words(summary))
        )
    )


def _slurs(taken: MeasuredTake, summary: TakeSummary) -> str:
    if not summary.slurs:
        return "No slur was played that could be judged."
    as_tried = sum(_tongued_as_tried(taken, slur) for slur in taken.measure.slurs)
    spoke = summary.outcomes[SlurOutcome.CLEAN] + as_tried
    parts = [f"{spoke} of {counted(summary.slurs, 'slur')} spoke"]
    if as_tried:
        parts[0] += f" ({as_tried} of them tongued, as was tried)"
    outcomes = {**summary.outcomes, SlurOutcome.TONGUED: summary.outcomes[SlurOutcome.TONGUED] - as_tried}
    words = {
        SlurOutcome.BROKE: ("broke", "broke"),
        SlurOutcome.TONGUED: ("was tongued", "were tongued"),
        SlurOutcome.WRONG_NOTE: ("landed on another note", "landed on other notes"),
    }
    parts += [
        f"{outcomes[outcome]} {words[outcome][outcomes[outcome] > 1]}" for outcome in words if outcomes[outcome]
    ]
    if summary.unjudged:
        parts.append(f"{summary.unjudged} could not be judged, as a note was missed or played elsewhere")
    return f"{', '.join(parts)}."


def tuning_words(summary: TakeSummary) -> str:
    """Say where a take lies as a whole; empty where no note was right."""
    tuning = summary.tuning_cents
    if isinstance(tuning, Hidden):
        return ""
    if abs(tuning.value) < _IN_TUNE_CENTS:
        return "The whole take lies in tune."
    half = max(1.0, tuning.high - tuning.value)
    side = "sharp" if tuning.value > 0 else "flat"
    return f"The whole take lies {abs(tuning.value):.0f} ±{half:.0f} cents {side}."


def _furthest(taken: MeasuredTake, summary: TakeSummary) -> str:
    """Name the notes that lie furthest out, each written note once."""
    named: dict[str, str] = {}
    for index in summary.furthest:
        note = taken.measure.notes[index]
        asked = taken.measure.following.played[note.played].asked
        if asked is None:
            continue
        words = f"{note_place(taken, asked)} {figure_text(note.cents, signed=True)}"
        named.setdefault(_name(taken, asked), words)
        if len(named) == _MOST_NAMED:
            break
    return f"Furthest from their targets: {'; '.join(named.values())} cents." if named else ""


def followed_words(summary: TakeSummary) -> str:
    """Say what of the part sounded, and what else did."""
    parts = [f"{summary.right} of {counted(summary.asked, 'note')} sounded as asked"]
    faults = (
        (summary.missed, "missed", "missed"),
        (summary.wrong, "wrong note", "wrong notes"),
        (summary.octave, "in another octave", "in another octave"),
        (summary.extra, "extra sound", "extra sounds"),
        (summary.restarts, "time back or ahead", "times back or ahead"),
    )
    parts += [f"{number} {words[number > 1]}" for number, *words in faults if number]
    return f"{', '.join(parts)}."
