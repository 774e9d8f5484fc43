"""Fork extension, by hand on the plain trousers and on real drafts."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from scipy.special import ellipe

from pinwright.check.measuring import measure
from tests.fitting.corrections.claims_trousers import (
    BODIES,
    at,
    correction,
    draft,
    holds_together,
    length,
    made,
    moves_exactly,
    right_or_refused,
    step,
)
from tests.fitting.plain_trousers import plain_trousers

PLAIN = plain_trousers()


def test_back_fork_by_hand() -> None:
    """1 longer: the fork goes from -25 to -26 at the same level (the inseam stands plumb, so
    walking it asks for no drop); thigh 28 + 36 = 64 becomes 65; hip, waist and the front stay.

    The quarter circle of radius 12 becomes a quarter ellipse with half axes 13 and 12, length
    13 E(1 - (12/13)^2) (scipy). To first order it grows by pi/4: the integral of sin^2 over a
    quarter. What the true ellipse has beyond that, and what the walked inseam brings, goes to
    the waist end.
    """
    half = made(PLAIN, correction("fork_extension", "back_fork", 1.0))
    assert step(PLAIN, half, "back", "fork") == pytest.approx([-1.0, 0.0], abs=0.03)
    ellipse = 13.0 * float(ellipe(1.0 - (12.0 / 13.0) ** 2))
    ids = PLAIN.layout.span_ids(("back", "seat"))[PLAIN.layout.boundary(("back", "seat"), "hip") :]
    assert float(half.lengths[ids].sum()) == pytest.approx(ellipse, abs=0.02)
    assert half.effects["back_crotch"] == pytest.approx(pi / 4, abs=1e-4)
    assert length(half, "back", "seat") == pytest.approx(20.0 + 6.0 * pi + pi / 4, abs=1e-4)
    thigh = next(t for t in PLAIN.targets if t.name == "thigh")
    assert measure(half, thigh) == pytest.approx(65.0, abs=0.01)
    assert np.array_equal(at(half, "back", "seat:hip"), [-13.0, 86.0])
    assert np.array_equal(at(half, "back", "inseam:knee"), [-25.0, 45.0])


def test_front_fork_by_hand() -> None:
    """The same at the front: -17 to -18, the curve below y = 86 is straight 6 and a quarter
    circle of radius 6; it grows by pi/4 per cm as well (the rate does not know the radius)."""
    half = made(PLAIN, correction("fork_extension", "front_fork", 1.0))
    assert step(PLAIN, half, "front", "fork") == pytest.approx([-1.0, 0.0], abs=1e-9)
    assert half.effects["front_crotch"] == pytest.approx(pi / 4, abs=1e-4)
    assert length(half, "front", "inseam") == pytest.approx(74.0, abs=0.03)


def test_the_inseam_keeps_its_length_and_the_curve_its_ends() -> None:
    """On a leaning inseam the fork drops as the inseam is walked; no kink at hip or fork."""
    for row in BODIES:
        g = draft("trousers", row)
        half = made(g, correction("fork_extension", "front_fork", 1.0))
        moved = step(g, half, "front", "fork")
        assert moved[0] == pytest.approx(-1.0, abs=1e-9)
        assert -0.6 < moved[1] < 0.0
        change = length(half, "front", "inseam") - g.piece("front").edge("inseam").length
        assert abs(change) < 0.06
        before, after = g.piece("front").edge("centre"), half.piece("front").edge("centre")
        for now, then in zip(after.runs, before.runs, strict=True):
            assert now.end_tangent @ then.end_tangent > np.cos(np.radians(1.0))


def test_what_moves() -> None:
    moves_exactly(
        PLAIN,
        correction("fork_extension", "back_fork", 1.0),
        {"back": {"inseam", "seat"}},
    )
    moves_exactly(
        PLAIN,
        correction("fork_extension", "front_fork", 1.0),
        {"front": {"inseam", "centre"}},
    )


@pytest.mark.parametrize("place", ["front_fork", "back_fork"])
def test_algebra(place: str) -> None:
    holds_together(PLAIN, correction("fork_extension", place, 1.2))
    holds_together(draft("trousers", 43), correction("fork_extension", place, -0.9))


@pytest.mark.parametrize("row", BODIES)
@pytest.mark.parametrize("fit", ["slim", "loose"])
def test_real_drafts(row: int, fit: str) -> None:
    for place in ("front_fork", "back_fork"):
        g = draft("trousers", row, (("fit", fit),))
        assert right_or_refused(g, correction("fork_extension", place, 1.0))


def test_a_jacket_has_no_fork() -> None:
    with pytest.raises(AssertionError, match="The jacket has no crotch"):
        made(draft("jacket", 0), correction("fork_extension", "back_fork", 1.0))
