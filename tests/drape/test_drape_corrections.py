"""A correction of the catalogue lessens its sign on the hung garment; the wrong way adds to it.

Two of the cases of ``benchmarks/drape_corrections.py`` on coarse triangles; all of them, with what
does not lessen, stand in ``docs/validation/drape_corrections.md``.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from benchmarks.drape_corrections import CASES, Case, client, figure_with, garb, slack, tried

from pinwright.figure.tape.tape import taped
from pinwright.fitting.catalogue import entry

BY_NAME = {c.name: c for c in CASES}


def of(name: str) -> Case:
    return BY_NAME[name]


def test_a_straight_line_and_one_that_bulges_have_nothing_in_folds() -> None:
    up = np.arange(11.0)
    assert slack(np.stack([0.0 * up, up], axis=1)) == pytest.approx(0.0, abs=1e-12)
    bulge = np.array([[0.0, 0.0], [3.0, 4.0], [0.0, 8.0]])
    assert slack(bulge) == pytest.approx(0.0, abs=1e-12)


def test_what_lies_in_a_hollow_is_counted() -> None:
    # two sides of 3-4-5 triangles round a hollow 3 deep: 10 along the line, 8 straight over it
    hollow = np.array([[0.0, 0.0], [-3.0, 4.0], [0.0, 8.0]])
    assert slack(hollow) == pytest.approx(2.0, abs=1e-12)


def test_what_stands_out_between_two_hollows_is_drawn_over() -> None:
    # from the ridge the taut line goes straight to both ends: 5 each, of 2 * (1 + 4)
    ridge = np.array([[0.0, 0.0], [0.0, 4.0], [3.0, 4.0], [0.0, 4.0 + 1e-9], [0.0, 8.0]])
    assert slack(ridge) == pytest.approx(14.0 - 10.0, abs=1e-6)


def test_amounts_are_the_middle_of_what_is_usual() -> None:
    assert of("hollow back").amount == pytest.approx(1.0)  # of 0.5 to 1.5
    assert of("square shoulder").amount == pytest.approx(-0.5)  # of -1.0 to 0
    for case in CASES:
        low, high = entry(case.kind).usual
        assert low < case.amount < high
        assert np.sign(case.amount) == case.way


def test_ten_corrections_of_the_catalogue_are_tried() -> None:
    assert len({(c.kind, c.way) for c in CASES}) >= 10


@pytest.mark.parametrize("case", CASES, ids=lambda c: c.name)
def test_the_ledger_makes_the_correction(case: Case) -> None:
    changed, plain = garb(case.garment, (case.correction(),)), garb(case.garment)
    assert any(changed.right[k] is not plain.right[k] for k in plain.right)


def test_a_figure_has_its_feature_and_the_draft_does_not_know() -> None:
    her = client()
    full = figure_with(her, of("full seat").feature)
    was, now = (
        taped(f.points, f.faces, f.marks, f.worn_waist_drop)["back_crotch_length"]
        for f in (her, full)
    )
    assert now - was == pytest.approx(1.8, abs=0.1)


@pytest.fixture(scope="module")
def rests(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Both cases begin from one hanging of the plain jacket on the same figure."""
    return tmp_path_factory.mktemp("rests")


@pytest.mark.parametrize("name", ["hem level", "bust dart, cut cloth"])
def test_the_sign_lessens(name: str, rests: Path) -> None:
    found = tried(of(name), 3.0, rests, own=False)
    assert found.lessened
    assert found.wrong is not None
    assert found.after < found.before < found.wrong
