"""Waistband length and gathers."""

from __future__ import annotations

import random

import numpy as np
import pytest
import shapely

from pinwright.check import all_checks, failures
from pinwright.check.measuring import measure
from pinwright.errors import CorrectionError
from pinwright.fitting.corrections.waistband import (
    change_for_measured_waist,
    from_measured,
    style_ease,
)
from pinwright.fitting.ledger import Half, fit, response, settle
from pinwright.fitting.plan import plan
from pinwright.fitting.response import Sketch
from pinwright.fitting.waist_top import change_top
from pinwright.fitting.walking import planned_differences
from pinwright.measures import bdims, complete, read_record
from pinwright.pattern.piece import Piece
from pinwright.workshop.trials import random_ledger, singles
from tests.fitting.corrections.claims_trousers import (
    BODIES,
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
DARTED = settle(plain_trousers(dart=True))


def test_from_a_measured_waist() -> None:
    """Waist measured 76, style's ease 1, finished 75 now: the band is to be 77, so + 2. The plain
    trousers finish at 2 x 46 = 92 with ease 2: measured 88 gives 88 + 2 - 92 = - 2."""
    assert change_for_measured_waist(76.0, 1.0, 75.0) == 2.0
    assert style_ease(PLAIN) == 2.0
    assert from_measured(PLAIN, 88.0) == pytest.approx(-2.0)
    half = made(PLAIN, correction("waistband_length", "waistband", from_measured(PLAIN, 88.0)))
    waist = next(t for t in PLAIN.targets if t.name == "waist")
    assert measure(half, waist) == pytest.approx(90.0, abs=1e-6)
    with pytest.raises(CorrectionError, match="measured waist of 7 cm"):
        change_for_measured_waist(7.0, 1.0, 75.0)


def test_without_darts_by_hand() -> None:
    """2 longer: 1 on each half, shared 22 : 24, so 22/46 = 0.4783 front and 0.5217 back; the side
    goes out by that at the waist, nothing at the hip; the band follows stretch by stretch."""
    half = made(PLAIN, correction("waistband_length", "waistband", 2.0))
    assert step(PLAIN, half, "front", "waist_side") == pytest.approx([22 / 46, 0.0], abs=0.01)
    assert step(PLAIN, half, "back", "waist_side") == pytest.approx([24 / 46, 0.0], abs=0.01)
    assert step(PLAIN, half, "back", "side:hip") == pytest.approx([0.0, 0.0], abs=1e-9)
    assert length(half, "band", "seam") == pytest.approx(47.0, abs=1e-6)
    assert step(PLAIN, half, "band", "seam:side")[0] == pytest.approx(22 / 46, abs=1e-6)


def test_darts_give_first_by_hand() -> None:
    """Back with a dart of 2, half the 44 of the top: at most 6 in all asks 6/2/2 = 1.5 of it, so
    the dart gives. 2 longer: back half 0.5, the dart 2 -> 1.5; the back's side stays."""
    half = made(DARTED, correction("waistband_length", "waistband", 2.0))

    def chord(piece: Piece) -> float:
        a, b = piece.mouth("back dart")
        return float(((b - a) ** 2).sum() ** 0.5)

    assert chord(DARTED.piece("back")) - chord(half.piece("back")) == pytest.approx(0.5, abs=0.02)
    assert step(DARTED, half, "back", "waist_side") == pytest.approx([0.0, 0.0], abs=0.02)
    assert length(half, "back", "waist") == pytest.approx(22.5, abs=1e-3)
    assert length(half, "band", "seam") == pytest.approx(45.0, abs=1e-3)


def test_small_darts_and_the_side_share_by_hand() -> None:
    """A dart too small to give the utmost change alone takes the share that leaves it 0.3.

    Back dart 2; asked for a utmost change of 3.4: the dart's share is (2 - 0.3) / 3.4 = 1/2, the
    side seam gives the other half: 1 longer is 0.5 from the dart and 0.5 at the side."""
    sketch = Sketch(DARTED)
    change_top(sketch, "back", 1.0, 3.4)
    assert sketch.mouths["back", "back dart"] == pytest.approx(-0.5, abs=0.02)
    assert sketch.stretch_rate(("back", "waist")) == pytest.approx(0.5, abs=0.02)


@pytest.mark.parametrize("row", BODIES)
def test_every_dart_of_the_top_gives(row: int) -> None:
    g = draft("trousers", row)
    r = response(g, ("waistband_length", "waistband", "amount", (), "cut"))
    for piece in ("front", "back"):
        for dart in g.piece(piece).darts:
            assert r.mouths[piece, dart.name] < -0.01


@pytest.mark.parametrize("row", BODIES)
@pytest.mark.parametrize("band", ["straight", "shaped"])
def test_a_waist_is_measured_where_it_was_taped(row: int, band: str) -> None:
    """A shaped band hangs below the taped waist: its top stands there, the seam lower down.

    The finished waist (drafted and after a measured one) is the record's waist and the ease; the
    edge is measured on the piece itself."""
    g = draft("trousers", row, (("band", band),))
    waist = next(t for t in g.targets if t.name == "waist")
    body = complete(read_record(bdims.women()[row]))
    edge = "top" if band == "shaped" else "seam"
    assert waist.body == pytest.approx(body["worn_waist_girth"])
    assert 2.0 * g.piece("band").edge(edge).length == pytest.approx(
        body["worn_waist_girth"] + waist.ease, abs=0.01
    )
    measured = body["worn_waist_girth"] + 2.0
    change = from_measured(g, measured)
    assert change == pytest.approx(2.0, abs=0.01)
    half = made(g, correction("waistband_length", "waistband", change))
    assert 2.0 * length(half, "band", edge) == pytest.approx(measured + waist.ease, abs=0.1)


def test_gather_response_by_hand() -> None:
    """2 gathered into the back: 1 on each half; the back's side goes out 1 at the waist; the
    band's own response is nothing; the cloth sewn to the band is 2 longer all round."""
    r = response(PLAIN, ("waistband_gather", "waistband", "amount", (("stretch", "back"),), "cut"))
    row, col = PLAIN.layout.station_row("back", "waist_side")
    assert 2.0 * r.ctrl[row, col] == pytest.approx([1.0, 0.0], abs=1e-9)
    assert not r.ctrl[PLAIN.layout.piece_spans["band"]].any()
    assert not r.ctrl[PLAIN.layout.piece_spans["front"]].any()
    assert dict(r.facts) == {"gather_back": 1.0}
    assert dict(r.effects) == {"trouser_top": 1.0}


def test_gather_trued() -> None:
    """The whole ledger: the band keeps its 46, the back's top is 25 on 24 of band, to the second
    order of a side walked by 0.03 at the waist (1e-5)."""
    fitted = fit(PLAIN, [correction("waistband_gather", "waistband", 2.0, stretch="back")])
    assert not fitted.refused
    assert length(fitted.right, "band", "seam") == pytest.approx(46.0, abs=1e-4)
    assert length(fitted.right, "back", "waist") == pytest.approx(25.0, abs=1e-4)
    assert not failures(all_checks(fitted))


def test_gather_must_say_where() -> None:
    with pytest.raises(AssertionError, match="say where, in the front or in the back"):
        made(PLAIN, correction("waistband_gather", "waistband", 2.0))


def test_without_a_band_it_is_refused() -> None:
    with pytest.raises(AssertionError, match="have no waistband"):
        made(plain_trousers(band=False), correction("waistband_length", "waistband", 1.0))
    with pytest.raises(AssertionError, match="has no waistband"):
        made(draft("jacket", 0), correction("waistband_length", "waistband", 1.0))


def test_what_moves() -> None:
    moves_exactly(
        PLAIN,
        correction("waistband_length", "waistband", 2.0),
        {
            "front": {"side", "waist"},
            "back": {"side", "waist"},
            "band": {"seam", "top", "centre"},
        },
    )


def test_algebra() -> None:
    for g in (PLAIN, draft("trousers", 0)):
        holds_together(g, correction("waistband_length", "waistband", 1.4))
        for part in ("front", "back"):
            holds_together(g, correction("waistband_gather", "waistband", 1.4, stretch=part))


def off_the_side(half: Half) -> dict[str, float]:
    """How far the band's side line misses its notch, the band's edges and the trousers' side, cm.

    The last: the band from its front end to the notch against the front's sewn top, less the ease
    that is planned into it.
    """
    band, front = half.piece("band"), half.piece("front")
    line, notch = band.line("side").path, band.point("seam:side")
    seam, top = band.edge("seam").runs[0], band.edge("top").runs[0]
    drawn = shapely.LineString([top.at(s) for s in np.linspace(0.0, top.length, 65)])
    waist = next(sp for sp in plan(half.garment).seams if sp.seam.name == "waist")
    eased = planned_differences(half, waist)[0]
    return {
        "notch": float(np.hypot(*(line.start - notch))),
        "top": float(drawn.distance(shapely.Point(line.end))),
        "side seam": abs(front.edge("waist").length - eased - seam.nearest(notch)[0]),
    }


@pytest.mark.parametrize(("band", "row"), [("straight", 0), ("shaped", 215)])
def test_the_bands_side_line_stays_at_its_notch(band: str, row: int) -> None:
    """After every correction, one-sided ones and mixed ledgers too. It was 0.3 beside the notch
    for a waist taped 2 more, and 1.5 for fronts let out by as much."""
    g = draft("trousers", row, (("band", band),))
    mixed = random.Random(row)
    ledgers = [(c,) for _, c in singles(g)] + [random_ledger(g, mixed) for _ in range(8)]
    moved = 0
    for ledger in ledgers:
        fitted = fit(g, ledger)
        if fitted.refused:
            continue
        for side, half in fitted.halves:
            off = off_the_side(half)
            assert max(off.values()) < 0.01, (ledger, side, off)
            moved += float(np.hypot(*step(g, half, "band", "seam:side"))) > 0.2
    assert moved > 5


@pytest.mark.parametrize("row", BODIES)
@pytest.mark.parametrize("waist", ["darts", "eased"])
@pytest.mark.parametrize("band", ["straight", "shaped"])
def test_real_drafts(row: int, waist: str, band: str) -> None:
    g = draft("trousers", row, (("waist", waist), ("band", band)))
    assert right_or_refused(g, correction("waistband_length", "waistband", 1.0))
    for part in ("front", "back"):
        assert right_or_refused(g, correction("waistband_gather", "waistband", 1.0, stretch=part))
