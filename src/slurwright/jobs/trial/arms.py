"""The ways to play a slur that a trial can compare: what the tool offers, and what the player names."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from slurwright.errors import Fault, RequestError
from slurwright.evidence.trial.values import MOST_ARMS, Arm
from slurwright.horn import HornKind
from slurwright.jobs.places import pins_from
from slurwright.jobs.words import note_name
from slurwright.listen.kept import TakenWay
from slurwright.plan import Chances, Technique
from slurwright.plan.rating import chance_fingers, chance_speaks
from slurwright.plan.study import Study
from slurwright.plan.values import Basis, Choice
from slurwright.plan.ways import Way

__all__ = ["chosen_arms", "offered"]

_AS_IT_STANDS = "as it stands"


def offered(study: Study, move: int) -> tuple[Choice, ...]:
    """List the choices at a slur that the tool knows of, as it stands first.

    Args:
        study: of the part, with every slur's choices told.
        move: index into ``Line.moves``.
    """
    return next((report.choices for report in study.reports if report.move == move), ())


def chosen_arms(study: Study, move: int, words: Sequence[str], *, chances: Chances) -> tuple[Arm, ...]:
    """Say what is compared: the slur as it stands, and beside it what the player names, or what promises most.

    Args:
        study: of the part, with every slur's choices told.
        move: index into ``Line.moves``.
        words: numbers or names of choices, techniques, or fingerings such as ``F3=4``.
        chances: priors of slurs and fingers.

    Raises:
        RequestError: a word means nothing, cannot be played, or is there twice; or there is nothing to compare.
    """
    slur = _Slur(study, move, chances)
    first = slur.arm(_AS_IT_STANDS, slur.stands, slur.technique)
    if not words:
        return first, _most_promising(slur)
    arms = [first]
    faults: list[Fault] = []
    for word in words:
        try:
            arm = _chosen(slur, word)
        except RequestError as error:
            faults += error.faults
            continue
        same = next((one for one in arms if (one.ways, one.technique) == (arm.ways, arm.technique)), None)
        if same is not None:
            faults.append(
                Fault("this way of playing is compared already", got=repr(word), allowed=f"not {same.name}")
            )
        arms.append(arm)
    if len(arms) > MOST_ARMS:
        faults.append(Fault("too many to compare", got=str(len(arms)), allowed=f"{MOST_ARMS}, as it stands counted"))
    if faults:
        raise RequestError(faults=tuple(faults))
    return tuple(arms)


def _most_promising(slur: "_Slur") -> Arm:
    if len(slur.known) < 2:
        raise RequestError(
            "nothing is known to help at this slur, so there is nothing to compare it with",
            allowed="--choose with a technique or a fingering such as legato-tongue or F3=4",
        )
    best = min(slur.known[1:], key=lambda choice: choice.break_risk)
    return slur.arm(best.name, best.ways, best.technique)


def _chosen(slur: "_Slur", word: str) -> Arm:
    """Read one word: a choice's number or name, a technique, or fingerings."""
    plain = " ".join(word.split()).casefold()
    for number, choice in enumerate(slur.known, start=1):
        if number > 1 and plain in {str(number), choice.name.casefold(), choice.name.casefold().replace(" ", "-")}:
            return slur.arm(choice.name, choice.ways, choice.technique)
    techniques = {technique.value: technique for technique in Technique}
    if plain in techniques:
        return slur.arm(techniques[plain].said, slur.stands, techniques[plain])
    if "=" in word:
        return _refingered(slur, word)
    names = [f"{number} ({choice.name})" for number, choice in enumerate(slur.known, start=1) if number > 1]
    raise RequestError(
        "no such choice at this slur",
        got=repr(word),
        allowed=", ".join([*names, *_able(slur, techniques), "or a fingering such as F3=4"]),
    )


def _able(slur: "_Slur", techniques: Mapping[str, Technique]) -> list[str]:
    """Name techniques; a slide has no valve to dip."""
    slide = slur.study.horn.kind is HornKind.SLIDE
    return [name for name, one in techniques.items() if not (slide and one is Technique.HALF_VALVE)]


def _refingered(slur: "_Slur", word: str) -> Arm:
    """Make an arm of pins such as ``F3=4`` or ``F3=4,Bb3=1-3``."""
    study = slur.study
    pins = pins_from(word.split(","), study.part, study.line, study.reading)
    ways, changed = list(slur.stands), []
    faults: list[Fault] = []
    for place, sound in enumerate(slur.sounds):
        fingering = pins.get(sound)
        if fingering is None:
            continue
        found = next((way for way in study.ways[sound] if way.fingering == fingering), None)
        if found is None:
            able = ", ".join(way.fingering for way in study.ways[sound])
            faults.append(
                Fault(f"this fingering cannot sound {note_name(study, sound)}", got=fingering, allowed=able)
            )
            continue
        ways[place] = found
        changed.append(f"{fingering} on {note_name(study, sound)}")
    if not changed and not faults:
        faults.append(Fault("this fingering is of no note of the slur", got=repr(word)))
    if faults:
        raise RequestError(faults=tuple(faults))
    return slur.arm(", ".join(changed), (ways[0], ways[1]), Technique.PLAIN)


@dataclass(frozen=True, slots=True)
class _Slur:
    """One slur of a studied part."""

    study: Study
    move: int
    chances: Chances

    @property
    def known(self) -> tuple[Choice, ...]:
        return offered(self.study, self.move)

    @property
    def sounds(self) -> tuple[int, int]:
        asked = self.study.line.moves[self.move]
        return asked.source, asked.target

    @property
    def stands(self) -> tuple[Way, Way]:
        first, second = (self.study.plan.ways[sound] for sound in self.sounds)
        return first, second

    @property
    def technique(self) -> Technique:
        return self.study.plan.techniques[self.move]

    def arm(self, name: str, ways: tuple[Way, Way], technique: Technique) -> Arm:
        """Make an arm, with what is believed of it."""
        line, horn, chances = self.study.line, self.study.horn, self.chances
        if chance_fingers(ways, self.move, line, horn, technique=technique, chances=chances) <= 0.0:
            allowed = "a half-valve on a lip slur on valves only"
            raise RequestError("this slur cannot be played so", got=name, allowed=allowed)
        told = next((one for one in self.known if (one.ways, one.technique) == (ways, technique)), None)
        if told is None:
            speaks = chance_speaks(ways, self.move, line, horn, technique=technique, chances=chances)
        else:
            speaks = 1.0 - told.break_risk
        return Arm(
            name=name,
            ways=self._taken(ways),
            technique=technique,
            chance=speaks,
            learnt=told is not None and told.learnt is not None and told.learnt.basis is not Basis.PRIOR,
            cents=(ways[0].cents, ways[1].cents),
        )

    def _taken(self, ways: tuple[Way, Way]) -> tuple[TakenWay, TakenWay]:
        sounds = [self.study.line.sounds[sound] for sound in self.sounds]
        first, second = (
            TakenWay(self.study.part.notes[sound.notes[0]].written, sound.sounding, way.fingering, way.partial)
            for sound, way in zip(sounds, ways, strict=True)
        )
        return first, second
