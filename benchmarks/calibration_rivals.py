"""Another way to foretell breaks from the same attempts: scikit-learn's logistic regression, as fair as can be made.

It is given the plan's prior logit as a feature beside those that our own model knows (softness, direction, gap,
height, hurry, kind, technique) and one column for each pair of ways of the book. An attempt counts as broken in
part: by the plan's prior and what the measuring says of it, by Bayes' rule (taking the likelier outcome instead made
it worse in every world). The penalty is chosen by cross-validation of the log loss in up to five folds; where one
class has fewer than two attempts it stays at scikit-learn's own 1, and where there is one class alone the answer is
the base rate, with one break and one clean slur added.
"""

import warnings

import numpy as np
from sklearn.linear_model import LogisticRegression
from sklearn.model_selection import StratifiedKFold

from builders.players import CHANCES, TECHNIQUES, Book, Practice, Slurs, changes_of, logit, priors_of
from slurwright.plan.transition import Floats

__all__ = ["features_of", "regressed"]

_PENALTIES = (0.01, 0.03, 0.1, 0.3, 1.0, 3.0, 10.0)
_LEAST = 1e-9


def features_of(book: Book, slurs: Slurs) -> Floats:
    """Lay slurs out as columns, shape=(slurs, columns)."""
    changes = changes_of(book, slurs)
    around = changes.around
    hurry = CHANCES.slur.settle_trips * changes.trip_s / np.minimum(around.time_s, around.hold_s)
    columns = [
        logit(priors_of(book, slurs)),
        np.maximum(0.0, -slurs.dynamic),
        changes.interval_cents < 0,
        changes.gap_cents / 500.0,
        np.maximum(0.0, 300.0 - changes.neighbour_cents) / 100.0,
        hurry,
        changes.same_setting,
        changes.crossings == 0,
        *(slurs.technique == place for place in range(len(TECHNIQUES))),
        *(book.pair_id[slurs.which] == pair for pair in range(int(book.pair_id.max()) + 1)),
    ]
    return np.stack([np.asarray(column, dtype=np.float64) for column in columns], axis=1)


def regressed(book: Book, practice: Practice, fresh: Slurs) -> Floats:
    """Foretell fresh slurs by logistic regression, shape=(slurs,) [1]."""
    prior = priors_of(book, practice.slurs)
    broken = prior * (1.0 - practice.said_spoke)
    share = broken / (broken + (1.0 - prior) * practice.said_spoke)
    broke = share > 0.5
    rarer = int(min(broke.sum(), (~broke).sum()))
    if rarer == 0:
        return np.full(len(fresh.which), (share.sum() + 1.0) / (len(share) + 2.0))
    known = features_of(book, practice.slurs)
    penalty = 1.0 if rarer < 2 else _penalty(known, share, folds=min(5, rarer))
    risk: Floats = _fitted(known, share, penalty).predict_proba(features_of(book, fresh))[:, 1]
    return risk


def _fitted(known: Floats, share: Floats, penalty: float) -> LogisticRegression:
    """Fit to attempts that count as broken in part: each is given twice, with its two weights."""
    outcome = np.repeat([True, False], len(share))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        model = LogisticRegression(C=penalty, max_iter=300)
        return model.fit(np.tile(known, (2, 1)), outcome, sample_weight=np.concatenate([share, 1.0 - share]))


def _penalty(known: Floats, share: Floats, *, folds: int) -> float:
    """Choose the penalty whose log loss on attempts left out is least."""
    parts = list(StratifiedKFold(folds, shuffle=True, random_state=0).split(known, share > 0.5))
    losses = []
    for penalty in _PENALTIES:
        loss = 0.0
        for train, test in parts:
            model = _fitted(known[train], share[train], penalty)
            risk = np.clip(model.predict_proba(known[test])[:, 1], _LEAST, 1.0 - _LEAST)
            loss -= float(np.sum(share[test] * np.log(risk) + (1.0 - share[test]) * np.log1p(-risk)))
        losses.append(loss)
    return _PENALTIES[int(np.argmin(losses))]
