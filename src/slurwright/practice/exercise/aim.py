"""What exercises for a weak slur aim at: its notes, partials and fingerings, how soft and how fast it is."""

import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from slurwright.errors import RequestError
from slurwright.horn import HornKind
from slurwright.pitch import SoundingPitch
from slurwright.plan import SlurReport, Technique, Way
from slurwright.plan.study import Study
from slurwright.practice.exercise.rules import ExerciseRules
from slurwright.practice.exercise.rungs import Link, Rungs, Stand, chain_of, partial_semitones
from slurwright.practice.exercise.two import Pair

__all__ = ["Aim", "aim_of", "names_of", "normal_way", "pair_of", "same_partial_stations"]


@dataclass(frozen=True, slots=True)
class Aim:
    """One slur, on its normal fingerings."""

    study: Study
    move: int
    report: SlurReport | None
    rungs: Rungs
    chain: tuple[Link, ...]
    """Fingerings from the open one down, with those of the slur itself among them."""
    own: tuple[Link, Link]
    """The slur's own two fingerings."""
    partials: tuple[int, int]
    """The lower and the upper one; alike where the slur stays on its partial."""
    up: bool
    """True if the slur goes up: by partials, or by notes where the partial stays."""
    pair: Pair
    dynamic: float
    """At the change [steps from mf]."""
    tempo_qpm: float
    """In the part, as asked for [quarters per minute]."""
    time_s: float
    """From onset to onset [s]."""

    @property
    def technique(self) -> Technique:
        """How the slur is made as a matter of course."""
        return self.pair.techniques[0]

    @property
    def names(self) -> str:
        """The two notes as the player reads them: "F3 to Bb3"."""
        return f"{self.pair.written[0]} to {self.pair.written[1]}"


def aim_of(
    study: Study, move: int, *, range_: tuple[SoundingPitch, SoundingPitch] | None, rules: ExerciseRules
) -> Aim:
    """Say what exercises for a slur aim at.

    Args:
        study: the studied part.
        move: which move of its line.
        range_: the notes that the player owns; None for the horn's comfortable range.
        rules: figures.

    Raises:
        RequestError: the move is no slur.

    """
    moves = study.line.moves
    if not 0 <= move < len(moves) or not moves[move].slurred:
        raise RequestError("no slur to practise", got=f"move {move}", allowed="a slurred move of the part")
    change = moves[move]
    ways = normal_way(study, change.source), normal_way(study, change.target)
    midis = [study.line.sounds[sound].sounding.midi for sound in (change.source, change.target)]
    low, high = (pitch.midi for pitch in range_ or study.horn.comfortable)
    rungs = Rungs.on(study.horn, study.reading, low_midi=min(low, *midis), high_midi=max(high, *midis))
    own = tuple(_link_of(way, midi) for way, midi in zip(ways, midis, strict=True))
    before, after = ways[0].partial, ways[1].partial
    return Aim(
        study=study,
        move=move,
        report=next((report for report in study.reports if report.move == move), None),
        rungs=rungs,
        chain=_with_own(chain_of(study.horn, side=ways[0].setting.side, most=round(rules.links)), own),
        own=(own[0], own[1]),
        partials=(min(before, after), max(before, after)),
        up=after > before if after != before else midis[1] > midis[0],
        pair=pair_of(study, move, ways),
        dynamic=change.dynamic,
        tempo_qpm=_tempo_qpm(study, change.source),
        time_s=change.time_s,
    )


def normal_way(study: Study, sound: int) -> Way:
    """Give the way of a note that is taught first; the plan's where the note has none.

    Args:
        study: the studied part.
        sound: index into the sounds of its line.
    """
    return next((way for way in study.ways[sound] if way.normal), study.plan.ways[sound])


def _link_of(way: Way, midi: int) -> Link:
    return Link(way.setting, -1, midi - partial_semitones(way.partial))


def _with_own(chain: Sequence[Link], own: Sequence[Link]) -> tuple[Link, ...]:
    """Put the slur's own fingerings into a chain, in place of others of the same length."""
    links = {link.root_midi: link for link in chain}
    links |= {link.root_midi: link for link in own if link.setting.side == own[0].setting.side}
    return tuple(links[root] for root in sorted(links, reverse=True))


def pair_of(study: Study, move: int, ways: tuple[Way, Way], *, technique: Technique = Technique.PLAIN) -> Pair:
    """Take the two notes of a slur out of a part.

    Args:
        study: the studied part.
        move: which move of its line.
        ways: how they are played.
        technique: how the slur is made; where a slide would smear it is a legato tongue even if PLAIN is said.

    """
    change = study.line.moves[move]
    notes = study.part.notes
    left = notes[study.line.sounds[change.source].notes[-1]]
    reached = notes[study.line.sounds[change.target].notes[0]]
    smears = ways[0].partial == ways[1].partial and study.horn.kind is HornKind.SLIDE
    made = Technique.LEGATO_TONGUE if smears and technique is Technique.PLAIN else technique
    return Pair(
        written=(left.written, reached.written),
        ways=ways,
        techniques=(made, made),
        length_quarter=study.line.sounds[change.source].duration_quarter,
        key=study.part.measures[left.measure].key,
    )


def names_of(ways: tuple[Way, Way]) -> str:
    """Say both fingerings: "0", or "1-3 to 0" where they differ."""
    first, second = (way.fingering for way in ways)
    return first if first == second else f"{first} to {second}"


def _tempo_qpm(study: Study, sound: int) -> float:
    """Tempo at a sound, with what the player asked for in place of what is marked [quarters per minute]."""
    notes = study.part.notes
    shares = [
        60.0 * float(each.duration_quarter) / (notes[each.notes[0]].tempo_qpm * each.duration_s)
        for each in study.line.sounds
        if each.duration_quarter and each.duration_s > 0.0
    ]
    return notes[study.line.sounds[sound].notes[-1]].tempo_qpm * (statistics.median(shares) if shares else 1.0)


def same_partial_stations(aim: Aim, usual: Sequence[int]) -> list[list[Stand]]:
    """Give the two fingerings of a slur that stays on its partial, on that partial and on its neighbours.

    Args:
        aim: such a slur.
        usual: partials that may stand beside its own.

    """
    own = aim.partials[0]
    below = [partial for partial in usual if 1 < partial < own][-1:]
    above = [partial for partial in usual if partial > own][:1]
    stations = []
    for partial in (own, *below, *above):
        stands = [rung for link in aim.own if (rung := aim.rungs.stand(link, partial)) is not None]
        if len(stands) == 2 and stands[0].sounding.midi != stands[1].sounding.midi:
            stations.append(sorted(stands, key=lambda stand: stand.sounding.midi))
    return stations
