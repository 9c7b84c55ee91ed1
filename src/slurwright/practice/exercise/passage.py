"""The bars around a slur, cut out of a part so that they can be practised by themselves."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from slurwright.horn import HornKind
from slurwright.plan import Technique, Way
from slurwright.plan.study import Study
from slurwright.practice.exercise.lips import Drill
from slurwright.practice.exercise.score import (
    shown_accidentals,
    technique_words,
    techniques_of,
    tempo_mark,
    whole_tempo,
)
from slurwright.score import (
    Direction,
    DirectionKind,
    Hairpin,
    Measure,
    Note,
    NoteDraft,
    Part,
    PartDraft,
    Slur,
    finished,
)
from slurwright.score.dynamics import mark_of_level
from slurwright.score.tempo import beats_per_minute_of_words, is_return_of_tempo

__all__ = ["bars_around", "bars_text", "passage"]

_LEVEL_IS_NEAR = 1e-9


def bars_around(study: Study, move: int) -> tuple[int, ...]:
    """Say which measures hold a slur and what leads into and out of it, in the order in which they are played.

    None where a bar that is repeated would have to stand there twice.

    Args:
        study: the studied part.
        move: which move of its line.

    """
    change = study.line.moves[move]
    part = study.part
    first = part.notes[study.line.sounds[change.source].notes[0]].measure
    left = part.notes[study.line.sounds[change.source].notes[-1]].measure
    reached = part.notes[study.line.sounds[change.target].notes[0]].measure
    last = part.notes[study.line.sounds[change.target].notes[-1]].measure
    if change.target != change.source + 1:
        # A repeat or a jump leads elsewhere: the bar that is left, then the bar that is reached.
        bars = (*range(first, left + 1), *range(reached, last + 1))
        return bars if len(set(bars)) == len(bars) else ()
    before = first - 1 if first > 0 and _begins_in(study, first - 1) else first
    after = last + 1 if last + 1 < len(part.measures) and _begins_in(study, last + 1) else last
    return tuple(range(before, after + 1))


def _begins_in(study: Study, measure: int) -> bool:
    """Say whether a note begins in a measure, so that it is worth playing."""
    return any(note.measure == measure and not note.tied_from_previous for note in study.part.notes)


def bars_text(study: Study, bars: Sequence[int]) -> str:
    """Name measures by their printed numbers: "bar 3", "bars 3 to 5"."""
    first, last = (study.part.measures[bar].number for bar in (bars[0], bars[-1]))
    opening = study.part.measures[0]
    if bars[0] == 0 and opening.duration_quarter < opening.time.length_quarter:
        return "the upbeat" if len(bars) == 1 else f"the upbeat to bar {last}"
    if len(bars) == 1:
        return f"bar {first}"
    return f"bars {first} to {last}" if bars[-1] > bars[0] else f"bars {first} and {last}"


def passage(study: Study, move: int, *, tempo_qpm: float, title: str) -> Drill:
    """Cut out the bars around a slur, with the fingerings and techniques of the plan.

    Args:
        study: the studied part.
        move: which move of its line.
        tempo_qpm: how fast [quarters per minute].
        title: over it.

    """
    bars = bars_around(study, move)
    draft = PartDraft(study.horn.name, title=title, states_transposition=True)
    shifts = _measures(study.part, bars, draft)
    kept = _notes(study.part, shifts, draft)
    tempo_qpm = whole_tempo(tempo_qpm, draft.measures[0].time)
    _signs(study, shifts, kept, draft, tempo_qpm=tempo_qpm)
    _slurs(study, move, kept, draft)
    ways, by_note = _played(study, kept)
    if study.horn.kind is HornKind.VALVES:
        for note, technique in zip(draft.notes, by_note, strict=True):
            draft.directions += technique_words(technique, note.measure, note.onset_quarter)
    part = shown_accidentals(finished(draft))
    change = study.line.moves[move]
    slur = kept[study.line.sounds[change.source].notes[-1]], kept[study.line.sounds[change.target].notes[0]]
    return Drill(part, ways, techniques_of(part, by_note), tempo_qpm, slur)


def _measures(part: Part, bars: Sequence[int], draft: PartDraft) -> dict[int, tuple[int, Fraction]]:
    """Lay the measures end to end; give each one's new index and how far it moves [quarters]."""
    shifts: dict[int, tuple[int, Fraction]] = {}
    place = Fraction(0)
    for index, bar in enumerate(bars):
        old = part.measures[bar]
        shifts[bar] = index, place - old.onset_quarter
        draft.measures.append(
            Measure(
                index=index,
                number=old.number,
                onset_quarter=place,
                duration_quarter=old.duration_quarter,
                time=old.time,
                key=old.key,
                clef=old.clef,
                transposition=old.transposition,
                final_bar=index + 1 == len(bars),
            )
        )
        place += old.duration_quarter
    return shifts


def _notes(part: Part, shifts: dict[int, tuple[int, Fraction]], draft: PartDraft) -> dict[int, int]:
    """Take over notes and rests; give each note's place in the draft by its old index."""
    kept: dict[int, int] = {}
    inside = [note for bar in shifts for note in part.notes if note.measure == bar]
    for note in inside:
        index, shift = shifts[note.measure]
        kept[note.index] = len(draft.notes)
        draft.notes.append(_draft_of(note, index, note.onset_quarter + shift))
    for place, note in enumerate(inside):
        follows = place > 0 and inside[place - 1].index == note.index - 1
        leads = place + 1 < len(inside) and inside[place + 1].index == note.index + 1
        draft.notes[place].tied_from_previous = note.tied_from_previous and follows
        draft.notes[place].tied_to_next = note.tied_to_next and leads
    for rest in part.rests:
        if rest.measure in shifts:
            index, shift = shifts[rest.measure]
            draft.rests.append(replace(rest, measure=index, onset_quarter=rest.onset_quarter + shift, place=""))
    draft.rests.sort(key=lambda rest: rest.onset_quarter)
    return kept


def _draft_of(note: Note, measure: int, onset_quarter: Fraction) -> NoteDraft:
    return NoteDraft(
        measure=measure,
        onset_quarter=onset_quarter,
        duration_quarter=note.duration_quarter,
        written=note.written,
        sounding=note.sounding,
        value=note.value,
        grace=note.grace,
        grace_slash=note.grace_slash,
        articulations=note.articulations,
        ornaments=note.ornaments,
        beam=note.beam,
        shown_accidental=note.shown_accidental,
    )


def _slurs(study: Study, move: int, kept: dict[int, int], draft: PartDraft) -> None:
    """Take over slurs as far as they reach, and the wanted one over a jump."""
    for slur in study.part.slurs:
        inside = [kept[note] for note in range(slur.first, slur.last + 1) if note in kept]
        if len(inside) > 1 and inside[-1] - inside[0] == len(inside) - 1:
            draft.slurs.append(Slur(inside[0], inside[-1], slur.dashed))
    change = study.line.moves[move]
    left = kept[study.line.sounds[change.source].notes[-1]]
    reached = kept[study.line.sounds[change.target].notes[0]]
    if not any(slur.first <= left and reached <= slur.last for slur in draft.slurs):
        draft.slurs.append(Slur(left, reached))


def _signs(
    study: Study,
    shifts: dict[int, tuple[int, Fraction]],
    kept: dict[int, int],
    draft: PartDraft,
    *,
    tempo_qpm: float,
) -> None:
    """Write tempo and dynamic at the start, and take over signs and hairpins in between."""
    draft.directions.append(tempo_mark(tempo_qpm, draft.measures[0].time))
    sounds = [sound for sound in study.line.sounds if sound.notes[0] in kept]
    sounds.sort(key=lambda sound: kept[sound.notes[0]])
    overruled = any(
        abs(sound.dynamic - study.part.notes[sound.notes[0]].dynamic) > _LEVEL_IS_NEAR for sound in sounds
    )
    taken = [
        replace(sign, measure=shifts[sign.measure][0], onset_quarter=sign.onset_quarter + shifts[sign.measure][1])
        for sign in study.part.directions
        if sign.measure in shifts and _counts(sign, overruled=overruled)
    ]
    first = min((note.onset_quarter for note in draft.notes), default=Fraction(0))
    if not any(sign.kind is DirectionKind.DYNAMIC and sign.onset_quarter <= first for sign in taken):
        level = mark_of_level(sounds[0].dynamic) if sounds else "mf"
        measure = draft.notes[0].measure
        draft.directions.append(Direction(DirectionKind.DYNAMIC, measure, first, level, above=False))
    draft.directions += taken
    if not overruled:
        draft.hairpins += _hairpins(study.part, shifts)


def _counts(sign: Direction, *, overruled: bool) -> bool:
    """Leave out tempos, for the exercise has its own, and dynamics where the player's word overrules them."""
    if sign.kind is DirectionKind.TEMPO or not sign.printed:
        return False
    if sign.kind is DirectionKind.DYNAMIC:
        return not overruled
    return beats_per_minute_of_words(sign.text) is None and not is_return_of_tempo(sign.text)


def _hairpins(part: Part, shifts: dict[int, tuple[int, Fraction]]) -> list[Hairpin]:
    """Take over hairpins as far as they reach into bars that follow each other."""
    found = []
    for pin in part.hairpins:
        for run in _runs(list(shifts)):
            start = part.measures[run[0]].onset_quarter
            end = part.measures[run[-1]].onset_quarter + part.measures[run[-1]].duration_quarter
            low, high = max(pin.start_quarter, start), min(pin.end_quarter, end)
            if low < high:
                shift = shifts[run[0]][1]
                found.append(Hairpin(low + shift, high + shift, pin.grows))
    return found


def _runs(bars: Sequence[int]) -> list[list[int]]:
    runs: list[list[int]] = []
    for bar in bars:
        if runs and runs[-1][-1] == bar - 1:
            runs[-1].append(bar)
        else:
            runs.append([bar])
    return runs


def _played(study: Study, kept: dict[int, int]) -> tuple[tuple[Way, ...], list[Technique]]:
    """Give the plan's way of each note, and how a slur from it is made."""
    sound_of = study.line.sound_of_note()
    ways = tuple(study.plan.ways[sound_of[note]] for note in kept)
    leaving: dict[int, Technique] = {}
    for change, technique in zip(study.line.moves, study.plan.techniques, strict=True):
        if change.target == change.source + 1:
            leaving[change.source] = technique
    return ways, [leaving.get(sound_of[note], Technique.PLAIN) for note in kept]
