"""The posterior of a small logistic model by sampling, with emcee: slow, and with no approximation but chance.

The model is written down here once more, from its definition alone: effects are normal about zero, the logit of a
break is ``offset + columns @ effects``, and an attempt that spoke with certainty s weighs
``s (1 - risk) + (1 - s) risk``.
"""

from dataclasses import dataclass, replace

import emcee
import numpy as np
from scipy.linalg import block_diag

from slurwright.evidence.learning.design import Design
from slurwright.evidence.learning.laid import WayName
from slurwright.evidence.learning.laplace import Prior, fit, refined
from slurwright.plan.transition import Floats, Ints

__all__ = ["Case", "Sampled", "drawn_case", "learnt", "sampled"]

_WALKERS_EACH = 6
_LEAST_WALKERS = 48


@dataclass(frozen=True, slots=True)
class Case:
    """A small set of attempts and what was believed before; three effects are common, the rest of pairs of ways."""

    name: str
    common: Floats
    """shape=(attempts, 3)"""
    pair: Ints
    """Pair of ways of each attempt, rising."""
    own: Floats
    """Of the pair of ways, shape=(attempts, own)."""
    partials_of_pair: Ints
    offset: Floats
    """[logit]"""
    spoke: Floats
    prior: Prior

    @property
    def whole(self) -> Floats:
        """All columns side by side: common, pairs of partials, then each pair of ways; shape=(attempts, effects)."""
        pairs, partials = len(self.partials_of_pair), int(self.partials_of_pair.max()) + 1
        of_partials = self.partials_of_pair[self.pair][:, None] == np.arange(partials)
        of_pairs = [self.own * (self.pair == pair)[:, None] for pair in range(pairs)]
        return np.concatenate([self.common, of_partials.astype(np.float64), *of_pairs], axis=1)

    @property
    def covariance(self) -> Floats:
        """Of all effects before anything is known, shape=(effects, effects)."""
        partials = int(self.partials_of_pair.max()) + 1
        blocks = [self.prior.common, self.prior.partials * np.eye(partials)]
        return np.asarray(block_diag(*blocks, *[self.prior.own] * len(self.partials_of_pair)))


@dataclass(frozen=True, slots=True)
class Sampled:
    """Moments of the posterior, and how well the chains know them."""

    mean: Floats
    sd: Floats
    lengths: float
    """Chain length over its longest autocorrelation time [1]."""
    error: Floats
    """Standard error of the mean [logit]."""


def sampled(case: Case, *, seed: int, steps: int = 3000) -> Sampled:
    """Sample the posterior of a case.

    Args:
        case: attempts and prior.
        seed: the same one gives the same chains.
        steps: of each chain, the first fifth of which is left out [1].

    """
    whole, precision = case.whole, np.linalg.inv(case.covariance)

    def log_posterior(effects: Floats) -> Floats:
        eta = case.offset + effects @ whole.T
        soft = np.logaddexp(0.0, eta)
        with np.errstate(divide="ignore"):
            likelihood = np.logaddexp(np.log(case.spoke) - soft, np.log1p(-case.spoke) + eta - soft)
        found: Floats = likelihood.sum(axis=1) - 0.5 * np.einsum("wi,ij,wj->w", effects, precision, effects)
        return found

    size = whole.shape[1]
    walkers = max(_LEAST_WALKERS, _WALKERS_EACH * size)
    rng = np.random.default_rng(seed)
    start = rng.multivariate_normal(np.zeros(size), case.covariance, size=walkers)
    sampler = emcee.EnsembleSampler(walkers, size, log_posterior, vectorize=True)
    sampler.random_state = np.random.RandomState(seed).get_state()
    sampler.run_mcmc(start, steps)
    chain = sampler.get_chain(discard=steps // 5)
    time = sampler.get_autocorr_time(discard=steps // 5, tol=0)
    flat = chain.reshape(-1, size)
    sd = flat.std(axis=0, ddof=1)
    error = sd * np.sqrt(time / len(flat))
    return Sampled(flat.mean(axis=0), sd, float(len(chain) / time.max()), error)


def drawn_case(
    name: str, rng: np.random.Generator, *, attempts: int, pairs: int, techniques: int = 1, sided: float, sure: float
) -> Case:
    """Draw a case as slurs have them: common effects, effects of single pairs of ways, priors of their own.

    Args:
        name: to tell it by.
        rng: draws everything.
        attempts: how many, at least as many as pairs [1].
        pairs: pairs of ways; every two share their partials [1].
        techniques: each pair has as many effects of its own, and one more if more than one [1].
        sided: share of attempts that broke whatever was likely, 0..1; below 0 lets the model draw what became [1].
        sure: how sure the outcomes are, 0.5 to 1 [1].

    """
    pair = np.sort(np.concatenate([np.arange(pairs), rng.integers(0, pairs, size=attempts - pairs)]))
    common = np.ones((attempts, 3))
    common[:, 1] = rng.random(attempts) < 0.5
    common[:, 2] = np.maximum(0.0, rng.normal(1.0, 1.0, size=attempts))
    own = np.ones((attempts, 1))
    if techniques > 1:
        tried = rng.integers(0, techniques, size=attempts)
        own = np.concatenate([own, tried[:, None] == np.arange(techniques)], axis=1)
    sizes = np.concatenate([[0.8], np.full(own.shape[1] - 1, 0.4)])
    prior = Prior(np.diag(np.array([0.7, 0.4, 0.25]) ** 2), 0.35**2, np.diag(sizes**2))
    offset = rng.normal(-2.2, 1.0, size=attempts)
    case = Case(name, common, pair, own, np.arange(pairs) // 2, offset, np.ones(attempts), prior)
    truth = rng.multivariate_normal(np.zeros(len(case.covariance)), case.covariance)
    chance = 1.0 / (1.0 + np.exp(-(offset + case.whole @ truth)))
    broke = rng.random(attempts) < (chance if sided < 0.0 else sided)
    certain = np.clip(sure + 0.1 * rng.normal(size=attempts), 0.55, 0.98) if sure < 0.98 else np.full(attempts, sure)
    return replace(case, spoke=np.where(broke, 1.0 - certain, certain))


def learnt(case: Case) -> tuple[Floats, Floats]:
    """Mean and standard deviation of the effects as the product finds them, in the order of ``Case.whole``."""
    attempts, pairs = len(case.pair), len(case.partials_of_pair)
    way: WayName = (60, "0", 4)
    design = Design(
        partials=tuple(range(int(case.partials_of_pair.max()) + 1)),
        pairs=tuple((f"horn {pair}", way, way) for pair in range(pairs)),
        partials_of_pair=case.partials_of_pair,
        prior=1.0 / (1.0 + np.exp(-case.offset)),
        common=case.common,
        own=case.own,
        pair=case.pair,
        starts=np.searchsorted(case.pair, np.arange(pairs)),
        age_weeks=np.zeros(attempts),
        technique=np.zeros(attempts, dtype=np.int64),
        row=np.arange(attempts),
        spoke=case.spoke,
        times=np.ones(attempts),
    )
    found = refined(design, case.offset, case.prior, fit(design, case.offset, case.prior))
    mean = np.concatenate([found.mean.shared, found.mean.own.ravel()])
    variance = np.concatenate([np.diag(found.shared), np.diagonal(found.own, axis1=1, axis2=2).ravel()])
    return mean, np.sqrt(variance)
