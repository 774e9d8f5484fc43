"""Ordinary least squares with the error of a new observation."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """y = coefficients (p,) . (1, x1, ...), fitted to ``n`` observations.

    ``residual`` is the residual standard error, in y's unit, ``spread`` (p, p) the inverse of X'X.
    """

    coefficients: Array
    residual: float
    spread: Array
    n: int

    @property
    def freedom(self) -> int:
        """Degrees of freedom of the residual."""
        return self.n - len(self.coefficients)

    def leverage(self, x: Array) -> float:
        """How far predictors ``x`` (p - 1,) lie from the middle of those fitted: x' inv(X'X) x."""
        row = np.concatenate([[1.0], x])
        return float(row @ self.spread @ row)

    def at(self, x: Array) -> tuple[float, float]:
        """(value, standard error of a new observation) at predictors ``x`` (p - 1,)."""
        row = np.concatenate([[1.0], x])
        return float(row @ self.coefficients), self.residual * sqrt(1.0 + self.leverage(x))


def fit_line(x: Array, y: Array) -> Line:
    """Least squares of ``y`` (n,) on a constant and predictors ``x`` (n, p - 1).

    Reference: any text on the linear model; the error of a new observation is
    s sqrt(1 + x' inv(X'X) x). Raises ValueError with fewer than p + 1 observations.
    """
    n = len(y)
    full = np.column_stack([np.ones(n), x])
    if n <= full.shape[1]:
        raise ValueError(f"{n} observations cannot fit {full.shape[1]} coefficients")
    coefficients = np.linalg.lstsq(full, y, rcond=None)[0].astype(np.float64)
    left = y - full @ coefficients
    # X'X of heights and girths is badly scaled: through the triangular factor instead
    r = np.linalg.qr(full, mode="r")
    back = np.linalg.inv(r)
    spread: Array = back @ back.T
    return Line(coefficients, sqrt(float(left @ left) / (n - full.shape[1])), spread, n)
