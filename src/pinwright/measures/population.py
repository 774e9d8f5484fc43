"""Girths from whatever is known, as the bdims women go together.

Ordinary least squares on any set of predictors needs only the means and covariances of the sample;
they are shipped in coefficients.py, so the regression of every missing girth on exactly the
measures that were given is formed here, with its standard error of estimate.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from pinwright.measures import coefficients

Array = npt.NDArray[np.float64]

_MEAN = np.array(coefficients.MEANS)
_COV = np.array(coefficients.COVARIANCE)
_INDEX = {name: i for i, name in enumerate(coefficients.VARIABLES)}


@dataclass(frozen=True, slots=True)
class Regression:
    """Least squares of targets on predictors: target = constant + slopes · predictors.

    constant: (t,), slopes: (t, p), see: (t,) standard error of estimate, in the targets' units.
    """

    predictors: tuple[str, ...]
    targets: tuple[str, ...]
    constant: Array
    slopes: Array
    see: Array

    def predict(self, known: Mapping[str, float]) -> dict[str, float]:
        """Value of every target from the known predictors (cm, kg)."""
        x = np.array([known[name] for name in self.predictors])
        return dict(zip(self.targets, (self.constant + self.slopes @ x).tolist(), strict=True))


@lru_cache(maxsize=4096)
def regression(
    predictors: tuple[str, ...], targets: tuple[str, ...], chest_noise: float = 0.0
) -> Regression:
    """Least-squares regression of targets on predictors in the 260 bdims women.

    chest_noise: standard error (cm) of the upper chest girth when it was itself inferred from the
    bust; its slope is then shrunk accordingly (errors in a predictor). predictors may be empty.
    Reference: any text on the multivariate normal distribution, conditional mean and variance.
    """
    p = [_INDEX[name] for name in predictors]
    t = [_INDEX[name] for name in targets]
    seen = _COV[np.ix_(p, p)].copy()
    if chest_noise and "upper_chest_girth" in predictors:
        at = predictors.index("upper_chest_girth")
        seen[at, at] += chest_noise**2
    slopes = np.linalg.solve(seen, _COV[np.ix_(p, t)]).T if p else np.zeros((len(t), 0))
    left = np.diag(_COV)[t] - np.einsum("tp,pt->t", slopes, _COV[np.ix_(p, t)])
    n = coefficients.N
    see = np.sqrt(np.maximum(left, 0.0) * (n - 1) / (n - len(p) - 1))
    return Regression(predictors, targets, _MEAN[t] - slopes @ _MEAN[p], slopes, see)


def mahalanobis(names: tuple[str, ...], values: Array) -> float:
    """Distance of some measures from the mean of the bdims women, in standard deviations.

    values: (p,) in the order of names.
    """
    at = [_INDEX[name] for name in names]
    off = values - _MEAN[at]
    return float(np.sqrt(off @ np.linalg.solve(_COV[np.ix_(at, at)], off)))
