"""How the valve slides are set: schemes that share out the error of valves used together.

No length of three tubes makes all combinations exact, so each scheme chooses who pays. "exact": every valve
alone. "third-long-23" and "third-long-13" lengthen the third slide until 2-3 or 1-3 is exact (common practice).
"least-squares" and "minimax" move all three slides for the least sum of squares, or the least greatest
error, over the fingerings 2, 1, 1-2, 2-3, 1-3, 1-2-3 (derived; computed here, not tabled). Minimax alone does
not settle all three slides, so among its answers the one is taken whose second greatest error is least, and so on.
"""

from collections.abc import Callable, Mapping

from slurwright.errors import HornError
from slurwright.horn.tubing import Tubing, added_length, exact_lengths

__all__ = ["SCHEMES", "takes_schemes", "tuned_lengths"]


def _third_long(lengths: dict[str, float], *, with_valve: str, semitones: float) -> dict[str, float]:
    """Lengthen the third slide until it is exact beside one other valve."""
    return {**lengths, "3": added_length(semitones) - lengths[with_valve]}


def _exact(_: Tubing, lengths: dict[str, float]) -> dict[str, float]:
    return lengths


def _third_long_23(_: Tubing, lengths: dict[str, float]) -> dict[str, float]:
    return _third_long(lengths, with_valve="2", semitones=4)


def _third_long_13(_: Tubing, lengths: dict[str, float]) -> dict[str, float]:
    return _third_long(lengths, with_valve="1", semitones=5)


def _least_squares(tubing: Tubing, lengths: dict[str, float]) -> dict[str, float]:
    from slurwright.horn.compromise import least_squares  # noqa: PLC0415 - numpy only where it is asked for

    return least_squares(tubing, lengths)


def _minimax(tubing: Tubing, lengths: dict[str, float]) -> dict[str, float]:
    from slurwright.horn.compromise import minimax  # noqa: PLC0415 - numpy only where it is asked for

    return minimax(tubing, lengths)


_SCHEMES: Mapping[str, Callable[[Tubing, dict[str, float]], dict[str, float]]] = {
    "exact": _exact,
    "third-long-23": _third_long_23,
    "third-long-13": _third_long_13,
    "least-squares": _least_squares,
    "minimax": _minimax,
}
SCHEMES = tuple(_SCHEMES)
"""Names of all schemes."""


def tuned_lengths(tubing: Tubing, scheme: str) -> dict[str, float]:
    """How long each valve's tube is under a scheme, in open lengths of its side.

    Args:
        tubing: the horn's tubes.
        scheme: one of `SCHEMES`; all but "exact" need valves 1, 2 and 3 that lower by 2, 1 and 3 semitones.

    Returns:
        Valve name to added length [1].

    Raises:
        HornError: no such scheme, or it does not suit this horn's valves.

    """
    if scheme not in _SCHEMES:
        raise HornError("no such tuning of the valve slides", got=repr(scheme), allowed=", ".join(SCHEMES))
    if scheme != "exact" and not takes_schemes(tubing):
        raise HornError(
            "this horn has not the three valves that the tuning shares out",
            got=repr(scheme),
            allowed="exact",
        )
    return _SCHEMES[scheme](tubing, exact_lengths(tubing))


def takes_schemes(tubing: Tubing) -> bool:
    """Say whether the horn has the three descending valves that a shared tuning is about."""
    lowers = {valve.name: valve.semitones for valve in tubing.valves}
    return [lowers.get(name) for name in "123"] == [2, 1, 3]
