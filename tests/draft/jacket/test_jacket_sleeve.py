"""The sleeve: drafted to the real armhole, its cap solved."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from pinwright.draft import all_styles
from pinwright.draft.blocks.sleeve import BACK_SHAPE, FRONT_SHAPE, fit_half_cap
from pinwright.errors import DraftError
from pinwright.measures import complete, read_record
from pinwright.measures.bdims import women
from pinwright.pattern.piece import Array

from .handbook import school_sleeve, triangle_width
from .sewing import EASES, body, changed, draft


def arc(cubic: Array) -> float:
    """Arc length of one cubic by scipy's adaptive quadrature."""

    def speed(u: float) -> float:
        b = np.array([(1 - u) ** 2, 2 * u * (1 - u), u**2])
        return float(np.hypot(*(3 * b @ np.diff(cubic, axis=0))))

    return float(quad(speed, 0.0, 1.0, epsabs=1e-11, limit=200)[0])


@given(
    length=st.floats(18.0, 36.0),
    share=st.floats(0.25, 0.75),
    lean=st.floats(0.0, 0.2),
    front=st.booleans(),
)
@settings(max_examples=60, deadline=None)
def test_half_a_cap_is_exactly_as_long_as_asked(
    length: float, share: float, lean: float, front: bool
) -> None:
    cap = fit_half_cap(length, share * length, lean, FRONT_SHAPE if front else BACK_SHAPE)
    assert arc(cap[0]) + arc(cap[1]) == pytest.approx(length, abs=1e-8)
    assert cap[1, 3] == pytest.approx([0.0, share * length])
    assert cap[0, 0, 1] == 0.0
    # the two cubics share point and direction, and neither is curved where they meet
    assert cap[0, 3] == pytest.approx(cap[1, 0])
    a, b = cap[0, 3] - cap[0, 2], cap[1, 1] - cap[1, 0]
    assert a[0] * b[1] - a[1] * b[0] == pytest.approx(0.0, abs=1e-9)


def test_a_cap_higher_than_its_curve_is_refused() -> None:
    with pytest.raises(DraftError, match=r"cap 25\.0 cm high cannot be drawn with 20\.0 cm"):
        fit_half_cap(20.0, 25.0, 0.1, FRONT_SHAPE)


@pytest.mark.parametrize("ease", EASES)
@pytest.mark.parametrize(
    ("cloth", "low", "high"), [("shirting", 0.5, 1.5), ("firm", 1.5, 2.5), ("wool", 2.5, 4.0)]
)
def test_cap_ease_lies_in_the_range_of_the_cloth(
    ease: str, cloth: str, low: float, high: float
) -> None:
    """Working limits of sources 2.4; none below the notches, more behind than in front."""
    g = draft(ease=ease, cloth=cloth)
    seam = g.seam("armhole")
    cap = sum(arc(c) for c in g.piece("sleeve").edge("cap").runs[0].ctrl)
    hole = sum(arc(c) for p in ("front", "back") for c in g.piece(p).edge("armhole").runs[0].ctrl)
    assert low <= cap - hole <= high
    assert seam.stretches[0].high == seam.stretches[3].high == 0.0
    assert seam.stretches[2].planned > seam.stretches[1].planned


@pytest.mark.parametrize("ease", EASES)
def test_cap_height_lies_between_the_shirt_and_the_set_in_sleeve(ease: str) -> None:
    """AH/6 for shirts up to AH/3 for the one-piece set-in sleeve (sources 2.4)."""
    g = draft(ease=ease)
    assert g.facts["armhole"] / 6.0 < g.facts["cap_height"] < g.facts["armhole"] / 3.0


def test_the_sleeve_is_as_wide_as_the_cap_triangle_says() -> None:
    """Handbook (sources 2.4): the two slanting sides and the height fix the width.

    The curve bends about its slanting side, so the side is shorter than half the cap; with the
    chords measured on the drawn cap the triangle must close exactly, and with half the cap as
    its sides the width comes out at most 2 cm greater on each side.
    """
    g = draft()
    sleeve = g.piece("sleeve")
    top = sleeve.point("shoulder")
    chords = [
        float(np.hypot(*(sleeve.point(n) - top))) for n in ("underarm_front", "underarm_back")
    ]
    exact = triangle_width(chords[0], chords[1], float(top[1]))
    assert g.facts["sleeve_width"] == pytest.approx(exact)
    run = sleeve.edge("cap").runs[0]
    half = run.cumulative[sleeve.edge("cap").stations["shoulder"][1]]
    rough = triangle_width(half, run.length - half, float(top[1]))
    assert 0.0 < rough - g.facts["sleeve_width"] < 4.0


def test_beside_the_school_sleeve() -> None:
    """The foundation sleeve of sources 2.4 on our armhole: lower, so wider than ours."""
    g = draft()
    height, width, _ = school_sleeve(g.facts["armhole"])
    assert height < g.facts["cap_height"]
    assert width > g.facts["sleeve_width"]
    # raising its cap to ours by the triangle brings its width to ours within the curve's bend
    slant = np.hypot(height, width / 2)
    same = triangle_width(slant, slant, g.facts["cap_height"])
    assert same - g.facts["sleeve_width"] < 10.0


def test_a_fuller_arm_lowers_the_cap_until_it_has_its_width() -> None:
    thin, full = (
        draft(changed(body(), upper_arm_girth=28.0), ease="slim"),
        draft(changed(body(), upper_arm_girth=40.0), ease="slim"),
    )
    assert full.facts["cap_height"] < thin.facts["cap_height"]
    assert full.facts["sleeve_width"] == pytest.approx(45.0, abs=1e-5)
    assert full.facts["armhole"] == thin.facts["armhole"]


@pytest.mark.parametrize("index", [0, 3, 43, 71, 140, 215, 229])
def test_the_sleeve_follows_the_class_of_ease(index: int) -> None:
    """Slim is narrower round the arm than regular, regular than loose; no class is under its least
    ease, and slim has more than 8 only where its cap is already at AH 0.33 (sources 2.4: AH/3 for a
    one-piece set-in sleeve; 5 typical and up to 10 for reach)."""
    client = complete(read_record(women()[index]))
    arm = client["upper_arm_girth"]
    found = {}
    for ease in ("slim", "regular", "loose"):
        g = draft(client, ease=ease)
        found[ease] = g.facts["sleeve_width"] - arm
        share = g.facts["cap_height"] / g.facts["armhole"]
        if ease == "slim":
            assert found[ease] <= 8.0 + 1e-5 or share == pytest.approx(0.33)
    assert found["slim"] < found["regular"] < found["loose"]
    for ease, least in (("slim", 5.0), ("regular", 6.5), ("loose", 8.0)):
        assert found[ease] >= least - 1e-5


def test_the_title_fits_every_class_of_ease() -> None:
    assert "loose" not in all_styles()["jacket"].title.lower()


def test_the_sleeve_hangs_straight_and_its_hem_is_level() -> None:
    sleeve = draft().piece("sleeve")
    hem = sleeve.edge("hem").runs[0].flatten()
    assert np.ptp(hem[:, 1]) < 1e-12
    for name, at_end in (("under_front", False), ("under_back", True)):
        run = sleeve.edge(name).runs[0]
        t = run.end_tangent if at_end else run.start_tangent
        assert abs(t[0]) < 1e-9
