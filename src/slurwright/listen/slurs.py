"""What became of one slur? Its figures, the way of its pitch, what else sounded, how smooth it was."""

from slurwright.listen.figure import NINE_IN_TEN, Figure, Hidden, Measured, Veil
from slurwright.listen.followed import Following, PlayedAs
from slurwright.listen.limits import Limits
from slurwright.listen.measures import Foreign, Room, SlurMeasure, SlurOutcome, SlurPath
from slurwright.listen.passage import AskedNote, Passage
from slurwright.listen.quality import Faults, Quality, quality_of
from slurwright.listen.slur_figures import SlurFigures, slur_figures
from slurwright.listen.slur_pairs import slur_pairs
from slurwright.listen.slur_window import slur_window
from slurwright.listen.sound import Sound
from slurwright.listen.splits import candidates_of, split_of
from slurwright.listen.tongue import touch_traits
from slurwright.listen.track import PitchTrack
from slurwright.listen.verdict import LIKELY, Chances, chances_of, foreign_of, outcome_of

__all__ = ["measure_slur", "slur_pairs", "unspoken"]

_STOPPED_S = 0.4
"""After a rest as long as this there is nothing between the notes to look at."""
_MISSED = 0.9
"""How sure it is that a note which was not heard did not sound (ours, provisional) [1]."""
_STOP_SD_MS = 20.0
_UNSURE = 0.05
_NONE = Figure(0.0, 0.0, 0.0)
_BETWEEN = Hidden(Veil.BETWEEN)


def measure_slur(
    sound: Sound,
    track: PitchTrack,
    following: Following,
    passage: Passage,
    *,
    first: int,
    second: int,
    room: Room,
    limits: Limits,
) -> SlurMeasure:
    """Measure and judge one slur.

    Args:
        sound: the take.
        track: its coarse pitch.
        following: what was played.
        passage: what was asked.
        first: the note that is left, an index into ``following.played``.
        second: the note that is reached.
        room: how the room answers.
        limits: what counts as smooth, split, tongued.
    """
    before, after = following.played[first], following.played[second]
    wrong = after.played_as is PlayedAs.WRONG
    wrong |= after.played_as is PlayedAs.OCTAVE and before.played_as is not PlayedAs.OCTAVE
    rest_s = after.onset_s - max(note.offset_s for note in following.played[first:second])
    if rest_s > _STOPPED_S:
        return _stopped(first, second, 1000.0 * rest_s, limits)
    window = slur_window(track, following, first=first, second=second)
    figures = slur_figures(sound, window, room)
    split = split_of(sound, window, candidates_of(*_asked(following, passage, first, second), window))
    chances = chances_of(split, touch_traits(sound, window, room), limits)
    foreign = foreign_of(split, chances)
    if foreign is not None or chances.fell_back >= LIKELY:
        # two moves or three: none of them is the slur's, and the level was followed along one
        figures = SlurFigures(*(6 * (_BETWEEN,)), figures.left_s, figures.half_s, figures.reached_s)
    outcome, chance = outcome_of(chances, wrong=wrong)
    quality = quality_of(_faults(figures, foreign, chances, wrong=wrong), limits)
    return SlurMeasure(
        first=first,
        second=second,
        time_ms=figures.time_ms,
        dip_db=figures.dip_db,
        dip_ms=figures.dip_ms,
        silence_ms=figures.silence_ms,
        scoop_cents=figures.scoop_cents,
        overshoot_cents=figures.overshoot_cents,
        path=_path(figures, foreign, chances, limits),
        foreign=foreign,
        outcome=outcome,
        outcome_chance=chance,
        quality=_grade(quality, outcome, figures),
        reasons=quality.reasons,
    )


def _grade(quality: Quality, outcome: SlurOutcome, figures: SlurFigures) -> Measured:
    """The grade, unless the slur broke and no figure shows it: then what spoilt it is hidden, and so is how much."""
    if outcome is not SlurOutcome.BROKE or quality.reasons:
        return quality.value
    seen = (figures.silence_ms, figures.dip_db, figures.time_ms, figures.scoop_cents, figures.overshoot_cents)
    return next((figure for figure in seen if isinstance(figure, Hidden)), Hidden(Veil.UNHEARD))


def _asked(following: Following, passage: Passage, first: int, second: int) -> tuple[AskedNote, AskedNote]:
    """The two notes as they were asked for."""
    left, reached = following.played[first].asked, following.played[second].asked
    left = left if left is not None else (reached or 1) - 1
    return passage.notes[left], passage.notes[reached if reached is not None else left + 1]


def _faults(figures: SlurFigures, foreign: Foreign | None, chances: Chances, *, wrong: bool) -> Faults:
    return Faults(
        silence_ms=_of_one_move(figures.silence_ms),
        dip_db=_of_one_move(figures.dip_db),
        time_ms=_of_one_move(figures.time_ms),
        scoop_cents=_of_one_move(figures.scoop_cents),
        overshoot_cents=_of_one_move(figures.overshoot_cents),
        foreign_ms=foreign.length_ms if foreign else _NONE,
        tongue=_chance(chances.whole * chances.tongued),
        fell_back=_chance(chances.fell_back),
        wrong_note=wrong,
    )


def _of_one_move(figure: Measured) -> Measured:
    """What one move spoils; where there are more, the note between tells it all."""
    return _NONE if figure == _BETWEEN else figure


def _chance(chance: float) -> Figure:
    """Whether a thing happened, 0 or 1; both where nine in ten do not say which."""
    return Figure(float(chance >= LIKELY), float(chance > 1.0 - _UNSURE), float(chance >= _UNSURE))


def _path(figures: SlurFigures, foreign: Foreign | None, chances: Chances, limits: Limits) -> SlurPath:
    """Name the way of the pitch by its worst turn."""
    if chances.fell_back >= max(LIKELY, chances.third):
        return SlurPath.FELL_BACK
    if foreign:
        return SlurPath.PARTIAL
    turns = (
        (SlurPath.SCOOP, figures.scoop_cents, limits.quality.scoop_cents),
        (SlurPath.OVERSHOOT, figures.overshoot_cents, limits.quality.overshoot_cents),
    )
    heard = [(figure.value / at[0], path) for path, figure, at in turns if isinstance(figure, Figure)]
    worst, path = max(heard, key=lambda turn: turn[0], default=(0.0, SlurPath.DIRECT))
    return path if worst > 1.0 else SlurPath.DIRECT


def _stopped(first: int, second: int, rest_ms: float, limits: Limits) -> SlurMeasure:
    """A slur of which the player stopped half way: nothing but silence between."""
    unheard = Hidden(Veil.UNHEARD)
    reach = NINE_IN_TEN * _STOP_SD_MS
    silence = Figure(rest_ms, max(0.0, rest_ms - reach), rest_ms + reach)
    quality = quality_of(Faults(silence, silence, _NONE, _NONE, _NONE), limits)
    return SlurMeasure(
        first=first,
        second=second,
        time_ms=unheard,
        dip_db=unheard,
        dip_ms=silence,
        silence_ms=silence,
        scoop_cents=unheard,
        overshoot_cents=unheard,
        path=SlurPath.DIRECT,
        foreign=None,
        outcome=SlurOutcome.BROKE,
        outcome_chance=0.99,
        quality=quality.value,
        reasons=quality.reasons,
    )


def unspoken(first: int) -> SlurMeasure:
    """Judge a slur whose second note never sounded: it broke, and there is nothing to measure.

    Args:
        first: the note that is left, an index into ``following.played``; the measure names it as the second one too.
    """
    unheard = Hidden(Veil.UNHEARD)
    return SlurMeasure(
        first=first,
        second=first,
        time_ms=unheard,
        dip_db=unheard,
        dip_ms=unheard,
        silence_ms=unheard,
        scoop_cents=unheard,
        overshoot_cents=unheard,
        path=SlurPath.DIRECT,
        foreign=None,
        outcome=SlurOutcome.BROKE,
        outcome_chance=_MISSED,
        quality=unheard,
        reasons=(),
    )
