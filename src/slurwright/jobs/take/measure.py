"""The second job: a recording of a part, measured against what was asked."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from slurwright.errors import Fault, RequestError, SoundError
from slurwright.jobs.passage import AskedPassage, passage_of
from slurwright.jobs.places import sounds_at
from slurwright.jobs.take.measured import MeasuredTake
from slurwright.jobs.tried import label_at
from slurwright.listen.limits import Limits
from slurwright.listen.measuring import measure_take
from slurwright.listen.raw import RawLevels
from slurwright.listen.sound import Sound
from slurwright.listen.take import TakeMeasure
from slurwright.pitch import A4_HZ
from slurwright.plan import Technique
from slurwright.plan.study import Study
from slurwright.score import Notice

__all__ = ["MeasuredTake", "TakeRequest", "departures", "measure_part_take"]

_MOST_NAMED = 4
"""So many fingerings are named in a notice, and no more."""


@dataclass(frozen=True, slots=True)
class TakeRequest:
    """What the player says of a take, in their own words; checked against the part."""

    bars: str | None = None
    """Printed numbers of the bars that were asked for, "5-12"; None for the whole part."""
    a4_hz: float = A4_HZ
    """What the player tuned to [Hz]."""
    tried: tuple[str, ...] = ()
    """Techniques that were tried at slurs, ``where=technique``; ``where`` is the note that the slur leads from. All
    others are taken as the plan has them."""


def measure_part_take(
    sound: Sound,
    study: Study,
    request: TakeRequest,
    *,
    limits: Limits,
    raw: RawLevels | None = None,
    tick: Callable[[float], None] | None = None,
    where: str = "",
) -> MeasuredTake:
    """Measure a recording of a part, note by note and slur by slur.

    Args:
        sound: the recording.
        study: of the part, written out as it is played.
        request: what the player says of the take.
        limits: what counts as smooth.
        raw: marks of the recording's own samples; None to look for them in ``sound``.
        tick: told now and then how much is done, 0..1.
        where: name of the recording, for messages.

    Raises:
        RequestError: a bar or a place that the part does not have, a technique that is none.
        SoundError: nothing of the passage is heard in the recording.
    """
    asked = passage_of(study, bars=request.bars, a4_hz=request.a4_hz)
    techniques = _techniques(request.tried, study, asked)
    within = None if request.bars is None else (passage_of(study, a4_hz=request.a4_hz).passage, asked.sounds[0])
    measure = measure_take(sound, asked.passage, limits=limits, within=within, raw=raw, tick=tick)
    if not measure.notes:
        raise SoundError(
            "nothing of the passage is heard",
            got=_what_is_heard(measure),
            allowed="a recording of these notes, played by one player near the microphone",
            where=where,
        )
    return MeasuredTake(study, measure, asked.sounds, techniques, request.a4_hz)


def _what_is_heard(measure: TakeMeasure) -> str:
    pitched = float((measure.track.hz > 0).mean()) if len(measure.track.hz) else 0.0
    length = f"{measure.length_s:.1f} s"
    if pitched < 0.02:
        return f"{length} without a pitch, at its loudest {-measure.level.peak_db:.0f} dB below full scale"
    return f"{length}, {100 * pitched:.0f} % of it with some pitch, but not these notes in this order"


def _techniques(told: tuple[str, ...], study: Study, asked: AskedPassage) -> dict[int, Technique]:
    """Read words such as ``12:3=legato-tongue``, elsewhere as the plan has it; gathers all faults."""
    place = {sound: index for index, sound in enumerate(asked.sounds)}
    slurs = {first for first, _ in asked.passage.joined()}
    known = [technique.value for technique in Technique]
    found: dict[int, Technique] = {}
    faults: list[Fault] = []
    for word in told:
        where, equals, name = word.partition("=")
        if not equals or name not in known:
            faults.append(
                Fault("not a place and a technique", got=repr(word), allowed=f"12:3= and {', '.join(known)}")
            )
            continue
        try:
            sounds = sounds_at(where, study.part, study.line, study.reading)
        except RequestError as error:
            faults.extend(error.faults)
            continue
        here = [place[sound] for sound in sounds if place.get(sound) in slurs]
        if not here:
            faults.append(Fault("no slur that was asked for leads from there", got=repr(word)))
        others = {found[index].value for index in here if found.get(index, Technique(name)) is not Technique(name)}
        if others:
            got = f"{name} and {', '.join(sorted(others))}"
            faults.append(Fault("two techniques were said of one slur", got=got, where=where))
        found.update(dict.fromkeys(here, Technique(name)))
    if faults:
        raise RequestError(faults=tuple(faults))
    return _planned(study, asked) | found


def _planned(study: Study, asked: AskedPassage) -> dict[int, Technique]:
    """Techniques that the plan takes as a matter of course: the legato tongue where a slide would smear."""
    plan = dict(zip(((move.source, move.target) for move in study.line.moves), study.plan.techniques, strict=True))
    found: dict[int, Technique] = {}
    for first, second in asked.passage.joined():
        technique = plan.get((asked.sounds[first], asked.sounds[second]), Technique.PLAIN)
        if technique is not Technique.PLAIN:
            found[first] = technique
    return found


def departures(study: Study, sounds: Sequence[int]) -> tuple[Notice, ...]:
    """Say which fingerings off the normal ones a take is measured and kept under: a recording does not show them all.

    Args:
        study: of the part.
        sounds: those that were asked for, indices into ``Line.sounds``.
    """
    said = dict.fromkeys(
        f"{label_at(study, sound)}={way.fingering} (normal: {normal.fingering})"
        for sound in sounds
        for way in (study.plan.ways[sound],)
        for normal in (next((one for one in study.ways[sound] if one.normal), way),)
        if not way.normal
    )
    if not said:
        return ()
    more = f" and {len(said) - _MOST_NAMED} more" if len(said) > _MOST_NAMED else ""
    named = f"{', '.join(list(said)[:_MOST_NAMED])}{more}"
    return (Notice(f"taken as played so: {named}; say --pin where you played another fingering"),)
