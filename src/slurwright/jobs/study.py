"""The main job: study a part on a horn."""

from dataclasses import dataclass, field, replace

from slurwright.errors import RequestError
from slurwright.horn import Horn
from slurwright.jobs.places import bans_from, pins_from
from slurwright.jobs.playable import refuse_pins, refuse_unplayable
from slurwright.jobs.readings import own_reading, reading_named, written_for
from slurwright.plan import Chances, Plan, PlanRequest, Weights, plan_line, slur_reports, ways_of
from slurwright.plan.conditions import with_dynamic, with_tempo
from slurwright.plan.familiar import Familiarity
from slurwright.plan.frontier import frontier
from slurwright.plan.known import Known
from slurwright.plan.study import LearntFrom, Study
from slurwright.score import Line, Notice, Part, in_reading, line_of, unrolled
from slurwright.score.dynamics import DYNAMIC_LEVELS

__all__ = ["StudyRequest", "study_part"]


@dataclass(frozen=True, slots=True)
class StudyRequest:
    """What the player asks, in their own words; checked when the part is known."""

    part: str | None = None
    """Name, number or instrument of the part in a score."""
    voice: str | None = None
    reading: str | None = None
    """Id of the reading for pages and reports; None keeps the file's own."""
    written_for: str | None = None
    """Id of the reading the file is written in, where the file itself does not say."""
    dynamic: str | None = None
    """A mark such as "pp" that overrides every dynamic of the part."""
    tempo_qpm: float | None = None
    """Overrides the first tempo; later ones keep their proportion [quarters per minute]."""
    pins: tuple[str, ...] = ()
    bans: tuple[str, ...] = ()
    most_changes: int | None = None
    best: int = 3
    weights: Weights = field(default_factory=Weights)
    techniques: bool = False
    each_time: bool = False
    """True lets a repeated passage be fingered differently each time it is played."""
    trade_offs: bool = False
    """True asks for the plans between smooth, in tune and familiar as well."""
    risk_limit: float | None = None
    """Break risk above which a slur is called weak, 0..1; None takes the prior table's."""
    priors_only: bool = False
    """True plans on the priors even where attempts are known; what these say is told beside."""


def study_part(
    part: Part,
    horn: Horn,
    request: StudyRequest,
    *,
    chances: Chances,
    familiarity: Familiarity,
    known: Known | None = None,
    learnt_from: LearntFrom | None = None,
) -> Study:
    """Work out every note's ways, the best plans and every slur's risk and choices.

    Args:
        part: as read from its file.
        horn: the player's horn.
        request: what the player asks.
        chances: priors of notes, slurs and fingers.
        familiarity: priors of how familiar and how well known ways are.
        known: what is known of the player beyond the priors; None leaves these.
        learnt_from: what that is learnt from; None where it is not said.

    Raises:
        RequestError: a word of the request means nothing for this part.
        FingeringError: a pin or ban names a fingering that the horn does not have or that cannot sound the note.
        PlanError: notes that no fingering plays, or pins and bans that leave nothing.
    """
    limit = chances.weak_above if request.risk_limit is None else request.risk_limit
    if not 0.0 <= limit <= 1.0:
        raise RequestError("no break risk above which a slur is weak", got=f"{limit:g}", allowed="0 to 1")
    part = written_for(unrolled(part) if request.each_time else part, horn, request.written_for)
    reading = own_reading(part, horn)
    if request.reading:
        reading = reading_named(request.reading, horn)
        part = in_reading(part, reading)
    line = _under_conditions(line_of(part), part, request)
    ways = {pitch: ways_of(pitch, horn, familiarity=familiarity) for pitch in {s.sounding for s in line.sounds}}
    refuse_unplayable(part, line, horn, reading, ways=ways)
    pins = pins_from(request.pins, part, line, reading)
    refuse_pins(pins, part, line, horn, ways=ways)
    asked = PlanRequest(
        pins=pins,
        bans=bans_from(request.bans, part, line, reading),
        most_changes=request.most_changes,
        best=request.best,
        weights=request.weights,
        techniques=request.techniques,
    )
    used, unused = (None, known) if request.priors_only else (known, None)
    plans = plan_line(line, horn, chances=chances, request=asked, familiarity=familiarity, known=used)
    otherwise: tuple[Plan, ...] = ()
    if known is not None:
        one = replace(asked, best=1)
        otherwise = plan_line(line, horn, chances=chances, request=one, familiarity=familiarity, known=unused)
    return Study(
        part=part,
        reading=reading,
        horn=horn,
        line=line,
        ways=tuple(ways[sound.sounding] for sound in line.sounds),
        plans=plans,
        reports=slur_reports(
            line,
            plans[0],
            horn,
            chances=chances,
            limit=limit,
            names=[str(part.notes[sound.notes[0]].written) for sound in line.sounds],
            familiarity=familiarity,
            known=used,
            beside=known,
        ),
        trade_offs=frontier(line, horn, chances=chances, request=asked, familiarity=familiarity, known=used)
        if request.trade_offs
        else (),
        notices=part.notices + _assumptions(part, request),
        learnt_from=learnt_from,
        priors_only=request.priors_only and known is not None,
        otherwise=next(iter(otherwise), None),
    )


def _under_conditions(line: Line, part: Part, request: StudyRequest) -> Line:
    if request.dynamic is not None:
        if request.dynamic not in DYNAMIC_LEVELS:
            raise RequestError("not a dynamic", got=repr(request.dynamic), allowed=", ".join(DYNAMIC_LEVELS))
        line = with_dynamic(line, DYNAMIC_LEVELS[request.dynamic])
    if request.tempo_qpm is not None:
        line = with_tempo(line, request.tempo_qpm, marked_qpm=part.notes[0].tempo_qpm)
    return line


def _assumptions(part: Part, request: StudyRequest) -> tuple[Notice, ...]:
    found = []
    if not part.states_dynamics and request.dynamic is None:
        found.append(Notice("no dynamic is marked, so mf is assumed; say --dynamic to try another"))
    if not part.states_tempo and request.tempo_qpm is None:
        tempo = part.notes[0].tempo_qpm
        found.append(Notice(f"no tempo is marked, so {tempo:g} quarters a minute are assumed; say --tempo for yours"))
    return tuple(found)
