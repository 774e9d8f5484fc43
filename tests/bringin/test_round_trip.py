"""Every piece of the demo's order, written as DXF and as SVG, comes back as it was written."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
import shapely

from pinwright.bringin.bringing import bring_in
from pinwright.bringin.outline import Outline
from pinwright.sheets.drawn import Drawn
from pinwright.sheets.dxf import block_name, write_dxf
from pinwright.sheets.svg import svg_sheet
from pinwright.workshop.job import GarmentJob
from pinwright.workshop.writing import drawings, heading
from tests.web.pages import demo_job

AS_WRITTEN = 0.02
"""cm: what a length all round may differ by."""


def garment(style: str) -> GarmentJob:
    return next(g for g in demo_job().garments if g.style.name == style)


def written(folder: Path, form: str, g: GarmentJob, pieces: Sequence[Drawn]) -> Path:
    write = write_dxf if form == "dxf" else svg_sheet
    return write(folder / f"{g.style.name}.{form}", pieces, heading(demo_job(), g))


def found(outlines: Sequence[Outline], form: str, style: str, d: Drawn, line: str) -> Outline:
    """The one outline of a piece's "cut" or "net" line."""
    if form == "dxf":
        layer = {"cut": "1", "net": "14"}[line]
        (one,) = (o for o in outlines if (o.group, o.label) == (block_name(d), layer))
    else:
        name = f"{style}-{block_name(d)}-{line}".replace("_", "-")
        (one,) = (o for o in outlines if name in (o.name, o.group))
    return one


@pytest.mark.parametrize("form", ["dxf", "svg"])
@pytest.mark.parametrize("style", ["trousers", "jacket"])
def test_every_piece_comes_back_as_long_as_it_was_written(
    tmp_path: Path, style: str, form: str
) -> None:
    g = garment(style)
    pieces = drawings(demo_job(), g)
    assert len(pieces) > 10
    outlines = bring_in(written(tmp_path, form, g, pieces), tolerance=AS_WRITTEN).outlines
    for d in pieces:
        cut = found(outlines, form, style, d, "cut")
        net = found(outlines, form, style, d, "net")
        ring = shapely.LinearRing(np.asarray(d.cut_line))
        sewn = sum(path.length for path in d.piece.outline(caps=True))
        assert cut.length == pytest.approx(ring.length, abs=AS_WRITTEN), d.piece.name
        assert net.length == pytest.approx(sewn, abs=AS_WRITTEN), d.piece.name
        assert cut.area == pytest.approx(shapely.Polygon(ring).area, abs=0.01 * ring.length)


@pytest.mark.parametrize("form", ["dxf", "svg"])
def test_the_lining_comes_in_as_the_file_stands(tmp_path: Path, form: str) -> None:
    """Without a tolerance given: its yoke and left front were refused as crossing themselves."""
    g = garment("jacket")
    lining = [d for d in drawings(demo_job(), g) if d.piece.layer == "lining"]
    assert {"lining_yoke", "lining_front"} <= {d.piece.name for d in lining}
    outlines = bring_in(written(tmp_path, form, g, lining)).outlines
    for d in lining:
        cut = found(outlines, form, "jacket", d, "cut")
        drawn = shapely.LinearRing(np.asarray(d.cut_line))
        assert cut.fit <= 0.05
        assert cut.length == pytest.approx(drawn.length, abs=0.05)
