"""The posterior of a small logistic model by sampling, with emcee: slow, and with no approximation but chance.

The model is written down here once more, from its definition alone: effects are normal about zero, the logit of a
break is ``offset + design @ effects``, and an attempt that spoke with certainty s weighs
``s (1 - risk) + (1 - s) risk``.
"""

from dataclasses import dataclass

import emcee
import numpy as np

from slurwright.plan.transition import Floats

__all__ = ["Case", "Sampled", "drawn_case", "sampled"]

_WALKERS_EACH = 6
_LEAST_WALKERS = 48


@dataclass(frozen=True, slots=True)
class Case:
    """A small set of attempts and what was believed before."""

    name: str
    design: Floats
    """shape=(attempts, effects)"""
    offset: Floats
    """[logit]"""
    spoke: Floats
    covariance: Floats
    """Of the effects before anything is known, shape=(effects, effects)."""


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
    precision = np.linalg.inv(case.covariance)

    def log_posterior(effects: Floats) -> Floats:
        eta = case.offset + effects @ case.design.T
        soft = np.logaddexp(0.0, eta)
        with np.errstate(divide="ignore"):
            likelihood = np.logaddexp(np.log(case.spoke) - soft, np.log1p(-case.spoke) + eta - soft)
        found: Floats = likelihood.sum(axis=1) - 0.5 * np.einsum("wi,ij,wj->w", effects, precision, effects)
        return found

    size = case.design.shape[1]
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
    name: str, rng: np.random.Generator, *, attempts: int, effects: int, sided: float, sure: float
) -> Case:
    """Draw a case as slurs have them: common effects, effects of single slurs, differing priors.

    Args:
        name: to tell it by.
        rng: draws everything.
        attempts: how many [1].
        effects: how many, at least 4 [1].
        sided: share of attempts that broke whatever was likely, 0..1; below 0 lets the model draw what became.
        sure: how sure the outcomes are, 0.5 to 1 [1].

    """
    single = effects - 3
    which = rng.integers(0, single, size=attempts)
    design = np.zeros((attempts, effects))
    design[:, 0] = 1.0
    design[:, 1] = rng.random(attempts) < 0.5
    design[:, 2] = np.maximum(0.0, rng.normal(1.0, 1.0, size=attempts))
    design[np.arange(attempts), 3 + which] = 1.0
    sds = np.concatenate([[0.7, 0.4, 0.25], rng.uniform(0.4, 0.9, size=single)])
    offset = rng.normal(-2.2, 1.0, size=attempts)
    truth = sds * rng.normal(size=effects)
    chance = 1.0 / (1.0 + np.exp(-(offset + design @ truth)))
    broke = rng.random(attempts) < (chance if sided < 0.0 else sided)
    certain = np.clip(sure + 0.1 * rng.normal(size=attempts), 0.55, 0.999) if sure < 1.0 else np.ones(attempts)
    spoke = np.where(broke, 1.0 - certain, certain)
    return Case(name, design, offset, spoke, np.diag(sds**2))
