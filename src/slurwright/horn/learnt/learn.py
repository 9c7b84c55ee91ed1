"""What this player's horn is like, given a catalogue model and some steady tones."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from slurwright.errors import Fault, FingeringError, RequestError
from slurwright.horn.learnt.frame import KAPPA, Block, Frame, Rows, frame_of, rows_of
from slurwright.horn.learnt.posterior import Data, Posterior, Sites, Sizes, posterior_of
from slurwright.horn.learnt.values import Priors, ToneReading, Verdict, WayKey
from slurwright.horn.model import Horn
from slurwright.horn.temperature import drift_cents

__all__ = ["LearntHorn", "Session", "learn", "learn_more"]

_TUNED_AT_C = 20.0
"""Air for which the catalogue's horn is in tune; only differences between sessions hang on it [degC]."""
_SAME_PITCH_CENTS = 25.0
"""A slip this near to another partial is called that partial [cents]."""


@dataclass(frozen=True, slots=True)
class Session:
    """One sitting: its place among the unknowns, and how its air moves the horn where that is known."""

    name: str
    column: int
    """Place of its air among the unknowns; its main slide is the next."""
    drift_cents: float
    """How far its temperature moves the horn, 0 where it is not known [cents]."""


@dataclass(frozen=True, slots=True, eq=False)
class LearntHorn:
    """A horn with all that was measured on it; made by `learn`, asked by `predict` and its neighbours."""

    horn: Horn
    priors: Priors
    readings: tuple[ToneReading, ...]
    verdicts: tuple[Verdict, ...]
    """One a reading."""
    sessions: tuple[Session, ...]
    """In the order of their first reading."""
    frame: Frame
    data: Data
    posterior: Posterior
    ways: Mapping[WayKey, int]
    """Ways that were read, and their place among the residues."""

    @property
    def rejected(self) -> tuple[Verdict, ...]:
        """Readings that were set aside, with the reason."""
        return tuple(verdict for verdict in self.verdicts if not verdict.used)

    def session(self, name: str) -> Session:
        """Find a session by name.

        Raises:
            RequestError: no reading is of that session.

        """
        for session in self.sessions:
            if session.name == name:
                return session
        raise RequestError("no such session", got=repr(name), allowed=", ".join(one.name for one in self.sessions))


def _check(horn: Horn, readings: Sequence[ToneReading]) -> None:
    """Refuse readings that no arithmetic can use, all at once."""
    known = {setting.fingering for setting in horn.settings}
    faults, strange = [], []
    for index, reading in enumerate(readings):
        where = f"reading {index + 1}"
        if reading.fingering not in known:
            strange.append(
                Fault("no such fingering", got=reading.fingering, allowed=", ".join(sorted(known)), where=where)
            )
        if reading.partial < 1:
            faults.append(Fault("no such partial", got=str(reading.partial), allowed="1 and up", where=where))
        if not math.isfinite(reading.cents) or not math.isfinite(reading.dynamic):
            faults.append(Fault("not a number", got=f"{reading.cents} cents, {reading.dynamic} steps", where=where))
        if not (math.isfinite(reading.sd_cents) and reading.sd_cents >= 0):
            faults.append(Fault("not a standard error", got=f"{reading.sd_cents}", allowed="0 or more", where=where))
    if strange:
        raise FingeringError(faults=tuple(strange))
    if faults:
        raise RequestError(faults=tuple(faults))


def _sessions(readings: Sequence[ToneReading], first_column: int) -> tuple[Session, ...]:
    air: dict[str, list[float]] = {}
    for reading in readings:
        known = air.setdefault(reading.session, [])
        if reading.temperature_c is not None:
            known.append(reading.temperature_c)
    return tuple(
        Session(name, first_column + 2 * place, _drift(sum(known) / len(known)) if known else 0.0)
        for place, (name, known) in enumerate(air.items())
    )


def _drift(temperature_c: float) -> float:
    return drift_cents(temperature_c, tuned_at_c=_TUNED_AT_C)


def _session_blocks(sessions: Sequence[Session], warm: frozenset[str], priors: Priors) -> tuple[Block, ...]:
    """Prior of the air and the main slide of each session."""
    return tuple(
        block
        for session in sessions
        for air in (priors.known_air_sd_cents if session.name in warm else priors.air_sd_cents,)
        for block in (
            Block(f"air {session.name}", session.column, np.eye(1), air, fixed=True),
            Block(f"main {session.name}", session.column + 1, np.eye(1), priors.main_slide_sd_cents, fixed=True),
        )
    )


def _deviation(reading: ToneReading, height: float, session: Session) -> float:
    """How far a reading lies from its way's nominal pitch, known air taken out [cents]."""
    known = session.drift_cents if reading.temperature_c is None else _drift(reading.temperature_c)
    return 100.0 * reading.sounding.midi + reading.cents - height - known


def _data(
    readings: Sequence[ToneReading],
    rows: Rows,
    ways: Mapping[WayKey, int],
    sessions: tuple[Session, ...],
    frame: Frame,
) -> Data:
    by_name = {session.name: session for session in sessions}
    own = np.array([ways[reading.fingering, reading.partial] for reading in readings], dtype=np.intp)
    mine = [by_name[reading.session] for reading in readings]
    air = np.array([session.column for session in mine], dtype=np.intp)
    loudness = np.full(len(readings), frame.names.index("dynamic"), dtype=np.intp)
    dynamic = np.array([reading.dynamic for reading in readings], dtype=np.float64)
    deviation = [
        _deviation(reading, rows.height[place], session)
        for reading, place, session in zip(readings, own, mine, strict=True)
    ]
    warm = frozenset(reading.session for reading in readings if reading.temperature_c is not None)
    return Data(
        rows=np.hstack([rows.design, np.zeros((len(ways), 2 * len(sessions)))]),
        columns=np.column_stack([air, air + 1, loudness]),
        values=np.column_stack([np.ones(len(readings)), -rows.short[own], dynamic]),
        deviation=np.array(deviation, dtype=np.float64),
        added_variance=np.array([reading.sd_cents**2 for reading in readings], dtype=np.float64),
        way=own,
        own_sd=rows.own_sd,
        blocks=(*frame.blocks, *_session_blocks(sessions, warm, frame.priors)),
    )


def _reason(reading: ToneReading, away: float, spread: float) -> str:
    """Say why a reading was set aside.

    Args:
        reading: the reading.
        away: how far it lies from what the others foretell [cents].
        spread: standard deviation of that [cents].

    """
    near = [number for number in range(max(1, reading.partial - 3), reading.partial + 4) if number != reading.partial]
    gaps = {number: away - KAPPA * math.log(number / reading.partial) for number in near}
    number, gap = min(gaps.items(), key=lambda item: (abs(item[1]), item[0]))
    name = f"{reading.sounding} on {reading.fingering}, partial {reading.partial}"
    if abs(gap) < _SAME_PITCH_CENTS:
        return (
            f"{name}: sounds {abs(gap):.0f} cents from partial {number} of the same fingering, so probably that one"
        )
    side = "above" if away > 0 else "below"
    return (
        f"{name}: {abs(away):.0f} cents {side} what the other readings foretell (± {spread:.0f}), "
        "so probably cracked, bent or another fingering"
    )


def _verdicts(readings: Sequence[ToneReading], data: Data, posterior: Posterior) -> tuple[Verdict, ...]:
    verdicts = []
    for index, reading in enumerate(readings):
        good = float(posterior.good[index])
        away = float(data.deviation[index] - posterior.foretold[index])
        spread = math.sqrt(posterior.foretold_variance[index] + posterior.sizes.scatter + data.added_variance[index])
        used = good >= 0.5
        verdicts.append(Verdict(index, good, used, "" if used else _reason(reading, away, spread)))
    return tuple(verdicts)


def _learn(
    horn: Horn, readings: tuple[ToneReading, ...], frame: Frame, start: tuple[Sites, Sizes] | None
) -> LearntHorn:
    ways = {way: place for place, way in enumerate(dict.fromkeys((one.fingering, one.partial) for one in readings))}
    sessions = _sessions(readings, len(frame.names))
    data = _data(readings, rows_of(frame, list(ways)), ways, sessions, frame)
    posterior = posterior_of(data, frame.priors, start=start)
    return LearntHorn(
        horn=horn,
        priors=frame.priors,
        readings=readings,
        verdicts=_verdicts(readings, data, posterior),
        sessions=sessions,
        frame=frame,
        data=data,
        posterior=posterior,
        ways=ways,
    )


def learn(horn: Horn, readings: Sequence[ToneReading], priors: Priors) -> LearntHorn:
    """Learn a horn from its catalogue model and some readings; with no readings the priors stand alone.

    Args:
        horn: the catalogue model as its slides are set.
        readings: steady tones, in any order; several of one way and several sessions are welcome.
        priors: what is believed of any horn.

    Raises:
        FingeringError: a reading is of a fingering that the horn does not have.
        RequestError: a reading's numbers make no sense.

    """
    _check(horn, readings)
    return _learn(horn, tuple(readings), frame_of(horn, priors), None)


def learn_more(learnt: LearntHorn, readings: Sequence[ToneReading]) -> LearntHorn:
    """Add new readings to a learnt horn; the same answer as learning all at once, sooner.

    Raises:
        FingeringError: a reading is of a fingering that the horn does not have.
        RequestError: a reading's numbers make no sense.

    """
    _check(learnt.horn, readings)
    known = learnt.posterior.sites
    fresh = len(readings)
    sites = Sites(
        np.concatenate([known.precision, np.full(fresh, 1e-9)]), np.concatenate([known.shift, np.zeros(fresh)])
    )
    names = {reading.session for reading in learnt.readings}
    new = len({reading.session for reading in readings} - names)
    sizes = replace(learnt.posterior.sizes, blocks=np.concatenate([learnt.posterior.sizes.blocks, np.ones(2 * new)]))
    return _learn(learnt.horn, (*learnt.readings, *readings), learnt.frame, (sites, sizes))
