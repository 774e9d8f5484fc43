"""The demo's jacket of checked cloth as DXF, read back: where the lines of the check lie.

Looked at without the phases first: the distances that a cutter would measure between the lines and
the points that are sewn together. Then against the phases of the templates, each block laid on its
template by hand (up along the cloth, right side up) and by its bounding box.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from ezdxf.filemanagement import readfile

from pinwright.bringin.bringing import bring_in
from pinwright.cutting.framing import Array, Frame
from pinwright.cutting.lay.placing import Template
from pinwright.cutting.reference_lines import RepeatLine
from pinwright.errors import LayError
from pinwright.fitting.ledger import fit
from pinwright.pattern.hand import as_drawn
from pinwright.pattern.piece import Piece
from pinwright.sheets.drawn import drawn
from pinwright.sheets.dxf import block_name, quantity, write_dxf
from pinwright.workshop.demo import demo_order
from pinwright.workshop.job import Job, run
from pinwright.workshop.order import parse
from pinwright.workshop.references import as_laid, with_references
from pinwright.workshop.stock import pieces_of, stocks, wanted_of
from pinwright.workshop.writing import drawings, heading, write_sheets_as
from tests.cutting.skirt import skirt
from tests.sheets.orders import HEADING

ALONG, ACROSS = 4.5, 4.0
"""The demo's check, cm; it is shrunk already."""


@cache
def job_of(repeat: str = "along = 4.5\nacross = 4.0") -> Job:
    text = demo_order()
    assert "along = 4.5\nacross = 4.0" in text
    return run(parse(text.replace("along = 4.5\nacross = 4.0", repeat), Path("demo.toml")))


@pytest.fixture(scope="module")
def jacket(tmp_path_factory: pytest.TempPathFactory) -> Any:
    folder = tmp_path_factory.mktemp("dxf")
    write_sheets_as(job_of(), folder, "dxf")
    doc = readfile(folder / "jacket.dxf")
    assert not doc.audit().errors
    return doc


def lines(block: Any, layer: str) -> list[Array]:
    return [
        np.array([e.dxf.start.vec2, e.dxf.end.vec2]) for e in block.query(f'LINE[layer=="{layer}"]')
    ]


def levels(block: Any, layer: str = "10") -> float:
    """Height of the line square to the grain."""
    found = {round(a[0, 1], 6) for a in lines(block, layer) if abs(a[0, 1] - a[1, 1]) < 1e-6}
    (height,) = found
    return float(height)


def plumbs(block: Any, layer: str = "10") -> float:
    """Where across the block the line along the grain stands."""
    found = {round(a[0, 0], 6) for a in lines(block, layer) if abs(a[0, 0] - a[1, 0]) < 1e-6}
    (place,) = found
    return float(place)


def ring(block: Any, layer: str = "1") -> Array:
    (e,) = block.query(f'POLYLINE[layer=="{layer}"]')
    return np.array([(v.dxf.location.x, v.dxf.location.y) for v in e.vertices])


def off(value: float, repeat: float) -> float:
    return abs(value - repeat * round(value / repeat))


def halves() -> dict[str, dict[str, Piece]]:
    right, left = pieces_of(job_of().garments[1])
    return {"right": right, "left": left}


def block_of(doc: Any, name: str, hand: str) -> Any:
    return doc.blocks[f"{name}-{hand}" if f"{name}-{hand}" in doc.blocks else name]


def above(doc: Any, name: str, hand: str, point: str) -> float:
    """How far above a point of the drawing the line square to the grain lies, cm."""
    return levels(block_of(doc, name, hand)) - float(halves()[hand][name].point(point)[1])


MATCHED = {"front", "back", "yoke", "sleeve", "collar", "patch_pocket"}


def test_only_what_is_seen_of_the_checked_cloth_has_lines(jacket: Any, tmp_path: Path) -> None:
    with_lines = {
        b.name.removesuffix("-right").removesuffix("-left")
        for b in jacket.blocks
        if b.query('*[layer=="9" | layer=="10"]') and not b.name.startswith("*")
    }
    assert with_lines == MATCHED
    # the cloth repeats both ways: all of them are on the layer of checks
    assert not any(b.query('*[layer=="9"]') for b in jacket.blocks)
    (plain, _) = write_sheets_as(job_of(), tmp_path, "dxf")
    assert plain.name == "trousers.dxf"
    assert not any(b.query('*[layer=="9" | layer=="10"]') for b in readfile(plain).blocks)


def test_right_and_left_front_have_their_line_at_the_same_height(jacket: Any) -> None:
    heights = {}
    for hand in ("right", "left"):
        block = jacket.blocks[f"front-{hand}"]
        hem = shapely.Polygon(ring(block, "14")).intersection(
            shapely.LineString([(0.0, -99.0), (0.0, 99.0)])
        )
        heights[hand] = levels(block) - hem.bounds[1]
        # the stripe stands on centre front, which the drawing has at x = 0
        assert off(plumbs(block), ACROSS) < 1e-6
        centre = halves()[hand]["front"].line("centre_front").path.start
        assert centre[0] == 0.0
    # taken from the hem, at centre front; both hems were let down by 1
    assert heights["right"] == pytest.approx(heights["left"], abs=1e-6)
    rights = [above(jacket, "front", h, "side:hip") for h in ("right", "left")]
    assert rights[0] == pytest.approx(rights[1], abs=1e-6)


@pytest.mark.parametrize("hand", ["right", "left"])
def test_what_is_sewn_together_shows_the_same_of_the_check(jacket: Any, hand: str) -> None:
    own = halves()[hand]

    def level(a: tuple[str, str], b: tuple[str, str]) -> float:
        return off(above(jacket, a[0], hand, a[1]) - above(jacket, b[0], hand, b[1]), ALONG)

    assert level(("front", "side:hip"), ("back", "side:hip")) < 1e-6
    assert level(("sleeve", "front_notch"), ("front", "front_notch")) < 1e-6
    assert level(("yoke", "yoke_centre"), ("back", "yoke_centre")) < 1e-6
    # the pocket is drawn where it lies on the front
    pocket, front = jacket.blocks["patch_pocket"], jacket.blocks[f"front-{hand}"]
    assert np.allclose(
        own["patch_pocket"].edge("stitched").first,
        min(
            (ln.path.start for ln in own["front"].lines if ln.kind == "stitch"),
            key=lambda p: float(np.hypot(*(p - own["patch_pocket"].edge("stitched").first))),
        ),
        atol=0.01,
    )
    assert off(levels(pocket) - levels(front), ALONG) < 1e-6
    assert off(plumbs(pocket) - abs(plumbs(front)), ACROSS) < 1e-6
    # at the front notch the stripes run on from the front into the sleeve
    beside = []
    for name in ("sleeve", "front"):
        x = float(own[name].point("front_notch")[0])
        beside.append(
            plumbs(jacket.blocks[f"{name}-{hand}"]) - (x if hand == as_drawn(own[name]) else -x)
        )
    assert off(beside[0] - beside[1], ACROSS) < 1e-6
    for name in ("back", "yoke", "collar"):
        assert off(plumbs(block_of(jacket, name, hand)), ACROSS) < 1e-6
    # the collar's outer edge lies on the yoke 7 less twice its stand below the neck seam
    collar = own["collar"]
    neck, edge = collar.point("neck_centre"), collar.point("outer_centre")
    roll = collar.line("roll").path
    stand = min(abs(float(p[1] - neck[1])) for p in (roll.start, roll.end) if abs(p[0]) < 1e-6)
    below = float(own["yoke"].point("neck_centre")[1]) - (abs(float(edge[1] - neck[1])) - 2 * stand)
    # drawn turned over: down in its drawing is up as worn
    lifted = float(edge[1]) - levels(jacket.blocks["collar"])
    assert off(lifted - (levels(jacket.blocks[f"yoke-{hand}"]) - below), ALONG) < 1e-6


def test_the_lines_end_on_the_cut_line_and_lie_within_it(jacket: Any) -> None:
    looked = 0
    for block in jacket.blocks:
        for a in lines(block, "10"):
            looked += 1
            cut = shapely.Polygon(ring(block))
            assert all(cut.exterior.distance(shapely.Point(p)) < 1e-5 for p in a)
            assert cut.buffer(1e-5).covers(shapely.LineString(a))
            assert np.hypot(*(a[1] - a[0])) > 1.0
    # two of each of the nine blocks
    assert looked >= 18


def on_template(doc: Any, t: Template, hand: str, fall: bool) -> tuple[float, float]:
    """Where the lines of a block lie on its template, along and across, by its bounding box."""
    block = block_of(doc, t.piece, hand)
    turn = np.array([[0.0, 1.0], [-1.0, 0.0]]) * (-1.0 if fall else 1.0)
    if t.side == "both":  # both halves, each right side up, joined at their centre
        own = np.concatenate([ring(block_of(doc, t.piece, h)) for h in ("right", "left")]) @ turn.T
        shift = np.array([t.outline[:, 0].min() - own[:, 0].min(), 0.0])
    else:
        shift = t.outline.min(axis=0) - (ring(block) @ turn.T).min(axis=0)
    at = turn @ np.array([plumbs(block), levels(block)]) + shift
    return float(at[0]), float(at[1])


def test_the_lines_are_the_phases_of_the_templates(jacket: Any) -> None:
    job = job_of()
    stock = next(s for s in stocks(job) if s.material.repeat.along > 0.0)
    held = [t for t in wanted_of(job, stock, "now").templates if t.phases]
    assert {t.piece for t in held} == MATCHED
    for t in held:
        piece = halves()["right"][t.piece]
        # a pair that is drawn once is drawn as the one hand
        for hand in ("right", "left") if t.side == "both" else (t.side,):
            if f"{t.piece}-{hand}" not in jacket.blocks and hand != as_drawn(piece):
                continue
            along, across = on_template(jacket, t, hand, piece.fall)
            want = {p.axis: p.at for p in t.phases}
            assert off(along - want["along"][0], ALONG) < 1e-5
            assert off(across - want["across"][1], ACROSS) < 1e-5
            # the very line that the rules put nearest to the point that is matched
            assert along == pytest.approx(want["along"][0], abs=1e-5)


@pytest.mark.parametrize(
    ("repeat", "level", "plumb"),
    [("along = 4.5", True, False), ("across = 4.0", False, True)],
    ids=["bars", "stripes"],
)
def test_a_stripe_lies_on_its_own_layer(
    tmp_path: Path, jacket: Any, repeat: str, level: bool, plumb: bool
) -> None:
    write_sheets_as(job_of(repeat), tmp_path, "dxf")
    doc = readfile(tmp_path / "jacket.dxf")
    assert not any(b.query('*[layer=="10"]') for b in doc.blocks)
    front = doc.blocks["front-left"]
    assert len(lines(front, "9")) == 1
    if level:
        assert levels(front, "9") == pytest.approx(levels(jacket.blocks["front-left"]))
    if plumb:
        assert plumbs(front, "9") == pytest.approx(plumbs(jacket.blocks["front-left"]))


def test_the_orders_rules_are_heeded(tmp_path: Path) -> None:
    write_sheets_as(job_of("along = 4.5\nacross = 4.0\nmatch = []"), tmp_path, "dxf")
    doc = readfile(tmp_path / "jacket.dxf")
    assert not any(b.query('*[layer=="9" | layer=="10"]') for b in doc.blocks)
    with pytest.raises(LayError, match="elbow"):
        write_sheets_as(
            job_of('along = 4.5\nacross = 4.0\nmatch = ["elbow"]'), tmp_path / "no", "dxf"
        )


def test_pieces_brought_in_again_are_the_same_with_lines_and_without(tmp_path: Path) -> None:
    g = job_of().garments[1]
    shown, said = with_references(job_of(), g, drawings(job_of(), g))
    own = [d for d in shown if block_name(d) in said]
    assert len(own) == 10
    head = heading(job_of(), g)
    a, b = (
        {(o.group, o.label): o.area for o in bring_in(path).outlines}
        for path in (
            write_dxf(tmp_path / "lines.dxf", own, head, references=said),
            write_dxf(tmp_path / "plain.dxf", own, head),
        )
    )
    # darts close to an outline too; lines of the cloth never do
    assert {label for _, label in a} == {"1", "8", "14"}
    assert a == pytest.approx(b)


def test_a_pair_that_lies_otherwise_on_each_side_is_drawn_apart() -> None:
    d = next(x for x in drawn(fit(skirt("pair"), ()), HEADING) if x.piece.name == "front")
    assert d.side == "both"
    up = np.array([[0.0, 1.0], [-1.0, 0.0]])
    right = Frame(up * [[1.0], [-1.0]], np.zeros(2))
    left = Frame(up, np.zeros(2))
    a = RepeatLine("along", right, 20.0, 4.0)
    assert as_laid(d, (a,), (RepeatLine("along", left, 28.0, 4.0),)) == (d,)
    one, two = as_laid(d, (a,), (RepeatLine("along", left, 21.0, 4.0),))
    assert [block_name(x) for x in (one, two)] == ["front-right", "front-left"]
    assert (quantity(d), quantity(one), quantity(two)) == (2, 1, 1)
    # a front's drawing is the left one, seen from the right side
    assert (one.mirror, two.mirror) == (True, False)
    # what only one side is held by is not said of the other
    assert len(as_laid(d, (a,), (a, RepeatLine("across", left, 0.0, 4.0)))) == 2
    assert as_laid(d, (a,), ()) == (d,)
