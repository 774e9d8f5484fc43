"""Pockets moved and their openings changed."""

from __future__ import annotations

import numpy as np
import pytest

from pinwright.draft import style
from pinwright.fitting.ledger import as_drafted
from tests.fitting.corrections.claims_trousers import (
    BODIES,
    correction,
    draft,
    holds_together,
    made,
    right_or_refused,
)
from tests.fitting.plain_trousers import plain_trousers

PLAIN = plain_trousers()


def test_side_pocket_by_hand() -> None:
    """Opening 1.5 lower: its top 3 -> 4.5 below the waist, 17 -> 15.5 above the hip; 1 longer:
    16 -> 17; no edge moves."""
    half = made(PLAIN, correction("pocket_move", "side_pocket", 1.5))
    assert half.facts["pocket_top"] == 4.5
    assert half.facts["pocket_top_above_hip"] == 15.5
    assert half.facts["pocket_length"] == 16.0
    assert np.array_equal(half.ctrl, PLAIN.layout.ctrl)
    half = made(PLAIN, correction("pocket_opening", "side_pocket", 1.0))
    assert (half.facts["pocket_top"], half.facts["pocket_length"]) == (3.0, 17.0)


@pytest.mark.parametrize("row", BODIES)
def test_the_opening_slides_on_the_seam(row: int) -> None:
    """1.5 lower and 1 longer: the upper end 1.5 and the lower 2.5 further down the side seam, and
    all of it along the seam; the bag derived from it hangs 2.5 lower at its foot."""
    g = draft("trousers", row)
    half = made(
        g,
        correction("pocket_move", "side_pocket", 1.5),
        correction("pocket_opening", "side_pocket", 1.0),
    )
    seam = half.piece("front").edge("side").runs[0]
    old, new = (x.piece("front").line("pocket opening").path for x in (as_drafted(g), half))
    for end, down in ((1, 1.5), (0, 2.5)):
        then, now = (seam.nearest(p.end if end else p.start)[0] for p in (old, new))
        assert then - now == pytest.approx(down, abs=0.02)
    # it slides along its own direction, so a hip curve of radius R is left by 2.5^2 / 2R
    bend = max(abs(float(seam.curvature(s))) for s in np.linspace(seam.length / 2, seam.length, 60))
    for s in np.linspace(0.0, new.length, 9):
        assert seam.nearest(new.at(s))[1] < 2.5**2 / 2 * bend + 0.005
    derive = style("trousers").derive
    bags = [
        next(p for p in derive(x.by_name, g) if p.name == "pocket_bag")
        for x in (as_drafted(g), half)
    ]
    foot = [min(float(e.runs[0].ctrl[..., 1].min()) for e in bag.edges) for bag in bags]
    assert foot[0] - foot[1] == pytest.approx(2.5, abs=0.1)


def test_patch_pocket_by_hand() -> None:
    """1 lower and 2 towards the side: opening, stitching line and both corners by (2, -1); made
    1.5 wider: its corners 0.75 each way, the height as it was."""
    g = draft("jacket", 0)
    half = made(
        g,
        correction("pocket_move", "patch_pocket", 1.0),
        correction("pocket_across", "patch_pocket", 2.0),
    )
    old, new = g.piece("front"), half.piece("front")
    for name in ("patch_pocket", "patch_pocket_opening"):
        was, now = old.line(name).path.ctrl, new.line(name).path.ctrl
        assert now - was == pytest.approx(np.broadcast_to([2.0, -1.0], was.shape))
    for name in ("pocket corner front", "pocket corner side"):
        assert new.mark(name).at - old.mark(name).at == pytest.approx([2.0, -1.0])
    assert np.array_equal(half.ctrl, g.layout.ctrl)
    wide = made(g, correction("pocket_opening", "patch_pocket", 1.5)).piece("front")
    assert wide.line("patch_pocket_opening").path.length == pytest.approx(
        old.line("patch_pocket_opening").path.length + 1.5
    )
    assert wide.mark("pocket corner front").at - old.mark("pocket corner front").at == (
        pytest.approx([-0.75, 0.0])
    )
    # the rounded corners are moved as they are: the line grows by the 1.5 of its lower edge only
    grown = wide.line("patch_pocket").path.length - old.line("patch_pocket").path.length
    assert grown == pytest.approx(1.5, abs=1e-6)


def test_without_a_pocket_it_is_refused() -> None:
    none = draft("trousers", 0, (("pocket", "none"),))
    with pytest.raises(AssertionError, match="The trousers have no side pocket"):
        made(none, correction("pocket_move", "side_pocket", 1.0))
    with pytest.raises(AssertionError, match="The trousers have no patch pocket"):
        made(none, correction("pocket_across", "patch_pocket", 1.0))


CASES = [
    ("trousers", "pocket_move", "side_pocket"),
    ("trousers", "pocket_opening", "side_pocket"),
    ("jacket", "pocket_move", "patch_pocket"),
    ("jacket", "pocket_across", "patch_pocket"),
    ("jacket", "pocket_opening", "patch_pocket"),
]


@pytest.mark.parametrize(("name", "kind", "place"), CASES)
def test_algebra_and_checks(name: str, kind: str, place: str) -> None:
    holds_together(draft(name, 0), correction(kind, place, 1.2))
    for row in BODIES:
        assert right_or_refused(draft(name, row), correction(kind, place, 1.0))
