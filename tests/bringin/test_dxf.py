"""Outlines from DXF: files drawn by ezdxf, and our own files against the JSON export."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from ezdxf.filemanagement import new

from pinwright.bringin.bringing import bring_in
from pinwright.draft import style
from pinwright.errors import OrderError
from pinwright.fitting.ledger import fit
from pinwright.sheets.drawn import drawn
from pinwright.sheets.dxf import write_dxf
from pinwright.sheets.export import exported
from tests.cutting.skirt import skirt
from tests.sheets.orders import HEADING, fitted, pieces


def saved(tmp_path: Path, draw: Any, units: int = 5, version: str = "R2000") -> Path:
    doc = new(version)
    if version != "R12":
        doc.header["$INSUNITS"] = units
    draw(doc)
    path = tmp_path / "d.dxf"
    doc.saveas(path)
    return path


def shape(doc: Any, k: float = 1.0) -> None:
    """A rectangle 30 by 40 with a half circle of radius 5 on the middle of its top."""
    rows = [(0, 0, 0), (30, 0, 0), (30, 40, 0), (20, 40, 1), (10, 40, 0), (0, 40, 0)]
    doc.modelspace().add_lwpolyline(
        [(x * k, y * k, b) for x, y, b in rows], format="xyb", close=True
    )


LENGTHS = [30, 40, 10, 5 * np.pi, 10, 40]
AREA = 1200 + 12.5 * np.pi


@pytest.mark.parametrize(("units", "k"), [(5, 1.0), (4, 10.0), (1, 1 / 2.54), (6, 0.01)])
def test_units_of_the_header(tmp_path: Path, units: int, k: float) -> None:
    (outline,) = bring_in(saved(tmp_path, lambda d: shape(d, k), units)).outlines
    assert outline.area == pytest.approx(AREA, rel=1e-6)
    assert [p.length for p in outline.paths] == pytest.approx(LENGTHS, rel=1e-6)


def test_a_unit_that_overrules_the_header_is_told(tmp_path: Path) -> None:
    path = saved(tmp_path, shape, 5)
    assert bring_in(path, unit="cm").remarks == ()
    (said,) = bring_in(path, unit="mm").remarks
    assert "states its own size; with --unit mm everything is 0.1 times as large." in said
    assert bring_in(saved(tmp_path, shape, 0), unit="mm").remarks == ()


def test_a_file_without_units_asks_for_them(tmp_path: Path) -> None:
    path = saved(tmp_path, shape, 0)
    with pytest.raises(
        OrderError, match=r"does not say its unit \(\$INSUNITS is 0\); give it with --unit"
    ):
        bring_in(path)
    assert bring_in(path, unit="mm").outlines[0].area == pytest.approx(AREA / 100, rel=1e-6)

    def in_words(doc: Any) -> None:
        rows = [(0, 0, 0), (30, 0, 0), (30, 40, 0), (20, 40, 1), (10, 40, 0), (0, 40, 0)]
        doc.modelspace().add_polyline2d(rows, format="xyb", close=True)
        doc.modelspace().add_text("Units: inches")

    said = saved(tmp_path, in_words, 0, "R12")
    assert bring_in(said).outlines[0].area == pytest.approx(AREA * 2.54**2, rel=1e-6)


def test_lines_arcs_and_splines_are_strung_together(tmp_path: Path) -> None:
    def draw(doc: Any) -> None:
        m = doc.modelspace()
        m.add_line((0, 0), (30, 0))
        m.add_line((30, 40), (30, 0))
        # a quarter circle of radius 10 hollowed out of the corner (0, 40)
        m.add_arc((0, 40), 10, 270, 360)
        m.add_line((30, 40), (10, 40))
        m.add_spline(degree=3).control_points = [(0, 30, 0), (3, 20, 0), (-3, 10, 0), (0, 0, 0)]

    (outline,) = bring_in(saved(tmp_path, draw)).outlines
    # the spline of one span is the cubic Bézier curve of its points: area 0 by symmetry
    assert outline.area == pytest.approx(1200 - 25 * np.pi, rel=1e-5)
    lengths = [p.length for p in outline.paths]
    assert lengths[:4] == pytest.approx([30, 40, 20, 5 * np.pi], rel=1e-5)
    assert outline.fit == 0.0


def test_blocks_are_pieces_and_mirrored_inserts_are_mirrored(tmp_path: Path) -> None:
    def draw(doc: Any) -> None:
        block = doc.blocks.new("SLEEVE")
        block.add_lwpolyline(
            [(0, 0, 0.3), (20, 0, 0), (20, 30, 0), (5, 30, -0.2)], format="xyb", close=True
        )
        m = doc.modelspace()
        m.add_blockref("SLEEVE", (100, 0))
        m.add_blockref("SLEEVE", (300, 0), dxfattribs={"xscale": -1})
        m.add_blockref("SLEEVE", (500, 0), dxfattribs={"rotation": 90})

    a, b, c = bring_in(saved(tmp_path, draw)).outlines
    assert [o.group for o in (a, b, c)] == ["SLEEVE", "SLEEVE 2", "SLEEVE 3"]
    assert b.area == pytest.approx(a.area, rel=1e-9)
    assert c.area == pytest.approx(a.area, rel=1e-9)
    flipped = (a.corners - [100, 0]) * [-1, 1] + [300, 0]
    for corner in flipped:
        assert np.hypot(*(b.corners - corner).T).min() < 1e-9
    turned = (a.corners - [100, 0]) @ np.array([[0, 1], [-1, 0]]) + [500, 0]
    for corner in turned:
        assert np.hypot(*(c.corners - corner).T).min() < 1e-9


@pytest.mark.parametrize("version", ["R2000", "R12"])
@pytest.mark.parametrize("name", ["trousers", "jacket"])
def test_our_own_file_comes_back_as_the_export_says(
    tmp_path: Path, name: str, version: str
) -> None:
    path = write_dxf(tmp_path / "own.dxf", pieces(name), HEADING, "cm", version)  # type: ignore[arg-type]
    brought = bring_in(path)
    data = exported(fitted(name), style(name).derive)["pieces"]
    assert len(data) == len(pieces(name))
    for layer, key in (("1", "cut_line"), ("14", "net")):
        found = {o.group: o for o in brought.outlines if o.label == layer}
        for p in data:
            block = p["name"] if p["side"] == "both" else f"{p['name']}-{p['side']}"
            o, ring = found[block], shapely.Polygon(p[key])
            assert o.fit <= 0.05
            assert o.length == pytest.approx(ring.length, abs=0.1)
            # the fitted curve lies within its stated error of the polyline
            assert o.area == pytest.approx(ring.area, abs=0.02 * ring.length)
            assert o.said["piece name"] == block
            assert o.grain is not None


def test_a_piece_on_the_fold_is_closed_by_its_mirror_line(tmp_path: Path) -> None:
    garment = skirt("fold")
    path = write_dxf(tmp_path / "f.dxf", drawn(fit(garment, ()), HEADING), HEADING)
    found = {o.group: o for o in bring_in(path).outlines if o.label == "14"}
    net = sum(p.length for p in garment.piece("front").outline())
    assert found["front"].length == pytest.approx(net, abs=0.05)


def test_bad_files_are_refused_in_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(OrderError, match="There is no file"):
        bring_in(tmp_path / "none.dxf")
    (tmp_path / "x.dxf").write_text("this is no drawing")
    with pytest.raises(OrderError, match="cannot be read as DXF"):
        bring_in(tmp_path / "x.dxf")
    open_ = saved(tmp_path, lambda d: d.modelspace().add_lwpolyline([(0, 0), (30, 0), (30, 40)]))
    with pytest.raises(OrderError, match=r"no closed outline.*50\.0 cm apart"):
        bring_in(open_)
    with pytest.raises(OrderError, match="known square is only for photographs"):
        bring_in(open_, square_cm=10)
