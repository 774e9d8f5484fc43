"""Layers and printing wishes of the PDFs, read back with pikepdf, pypdf and pdfium."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pikepdf
import pytest
from pypdf import PdfReader

from pinwright.sheets.ink import Stroke, line
from pinwright.sheets.layers import LAYERS, in_layers, layer_of
from pinwright.sheets.pdf import laid_out, large_sheet
from pinwright.sheets.picture import picture
from pinwright.sheets.tiles import tiled_sheet
from tests.sheets.orders import HEADING, pieces
from tests.sheets.raster import look

GARMENTS = ["trousers", "jacket"]
WANTED = [
    "Cut line and fold",
    "Net line",
    "Inside: balance lines, darts, grain",
    "Marks: notches, drill, thread",
    "Words on the pieces",
    "Words on allowance and reserve",
]


@pytest.fixture(scope="module", params=["large", "a4"])
def sheet(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("layers") / f"{request.param}.pdf"
    if request.param == "large":
        return large_sheet(path, pieces("trousers"), HEADING)
    return tiled_sheet(path, pieces("trousers"), HEADING)


def test_every_layer_is_listed_in_order_and_on(sheet: Path) -> None:
    wanted = (["Paper frame"] if sheet.stem == "a4" else []) + WANTED
    with pikepdf.open(sheet) as pdf:
        found = pdf.Root.OCProperties
        assert [str(g.Name) for g in found.OCGs] == wanted
        assert [str(g.Name) for g in found.D.Order] == wanted
        assert [str(g.Name) for g in found.D.ON] == wanted
        assert "/OFF" not in found.D
        assert found.D.BaseState == "/ON"
        assert all(g.Type == "/OCG" for g in found.OCGs)


def test_every_marked_stretch_names_a_layer_and_ends(sheet: Path) -> None:
    reader = PdfReader(sheet)
    used: set[str] = set()
    for page in reader.pages:
        names = page["/Resources"]["/Properties"]  # type: ignore[index]
        content = page.get_contents()
        assert content is not None
        depth = 0
        for operands, operator in content.operations:
            if operator == b"BDC":
                assert operands[0] == "/OC"
                assert operands[1] in names
                used.add(str(names[operands[1]]["/Name"]))
                depth += 1
                assert depth == 1
            elif operator == b"EMC":
                depth -= 1
            elif operator in (b"q", b"Q"):
                assert depth in (0, 1)
        assert depth == 0
    assert used == set((["Paper frame"] if sheet.stem == "a4" else []) + WANTED)


def test_the_file_asks_for_a_hundred_per_cent(sheet: Path) -> None:
    root = PdfReader(sheet).trailer["/Root"]
    wishes = root["/ViewerPreferences"]  # type: ignore[index]
    assert wishes["/PrintScaling"] == "/None"
    assert wishes["/PickTrayByPDFSize"] is not None
    assert bool(wishes["/PickTrayByPDFSize"].value)
    with pikepdf.open(sheet) as pdf:
        assert pdf.pdf_version >= "1.7"
        assert "/UserUnit" not in pdf.pages[0].obj


def switched_off(path: Path, out: Path, *titles: str) -> Path:
    """The same file with layers off, changed by pikepdf as a reader's switch would."""
    with pikepdf.open(path) as pdf:
        d = pdf.Root.OCProperties.D
        groups = list(pdf.Root.OCProperties.OCGs)
        d.OFF = pikepdf.Array([g for g in groups if str(g.Name) in titles])
        d.ON = pikepdf.Array([g for g in groups if str(g.Name) not in titles])
        pdf.save(out)
    return out


def ink_on(path: Path, chain: np.ndarray) -> float:
    """Share of the points of a polyline (cm on page 1) that are inked."""
    low, high = chain.min(axis=0) - 0.5, chain.max(axis=0) + 0.5
    seen = look(path, box=(low[0], low[1], high[0], high[1]), dpi=200.0)
    return float((seen.at(chain) > 0.3).mean())


def test_a_layer_switched_off_vanishes_and_the_others_stay(tmp_path: Path) -> None:
    drawn = pieces("trousers")
    path = large_sheet(tmp_path / "large.pdf", drawn, HEADING)
    page = laid_out(drawn, 90.0, 470.0)[0]
    first = page.drawings[0]
    strokes = [m for m in first if isinstance(m, Stroke)]
    cut = next(m for m in strokes if m.role == "cut line").chains[0] + 1.5
    steps = np.hypot(*np.diff(cut, axis=0).T)
    far = np.interp(
        np.arange(0.0, steps.sum(), 0.1), np.r_[0.0, np.cumsum(steps)], np.arange(len(cut))
    )
    k = np.minimum(far.astype(int), len(cut) - 2)
    line_cut = cut[k] + (far - k)[:, None] * (cut[k + 1] - cut[k])
    grain = next(m for m in strokes if m.role == "grain" and not m.closed).chains[0] + 1.5
    line_grain = grain[0] + np.linspace(0.1, 0.9, 300)[:, None] * (grain[1] - grain[0])
    assert ink_on(path, line_cut) > 0.97
    assert ink_on(path, line_grain) > 0.97
    no_cut = switched_off(path, tmp_path / "a.pdf", "Cut line and fold")
    assert ink_on(no_cut, line_cut) < 0.1
    assert ink_on(no_cut, line_grain) > 0.97
    no_inside = switched_off(path, tmp_path / "b.pdf", "Inside: balance lines, darts, grain")
    assert ink_on(no_inside, line_cut) > 0.97
    assert ink_on(no_inside, line_grain) < 0.1
    # the test square belongs to no layer: it cannot be switched off
    nothing = switched_off(path, tmp_path / "c.pdf", *(x.title for x in LAYERS))
    h = float(PdfReader(path).pages[0].mediabox.height) / 72 * 2.54
    top = look(nothing, box=(34.0, h - 13.6, 45.3, h - 1.0), dpi=100.0)
    assert top.ink.sum() > 100.0


@pytest.mark.parametrize("name", GARMENTS)
def test_what_a_piece_says_belongs_to_a_layer(name: str) -> None:
    for d in pieces(name):
        for m in picture(d):
            if m.role:
                assert layer_of(m) is not None, (d.title, m.role)


def test_no_role_lies_in_two_layers() -> None:
    roles = [r for layer in LAYERS for r in layer.roles]
    assert len(roles) == len(set(roles))
    assert len({layer.key for layer in LAYERS}) == len(LAYERS)


def test_stretches_keep_the_order_of_painting() -> None:
    marks = [line((0, k), (1, k), role=r) for k, r in enumerate(("cut line", "fold", "", "grain"))]
    found = in_layers(marks)
    assert [layer.key if layer else "" for layer, _ in found] == ["cut", "", "inside"]
    assert [m for _, group in found for m in group] == marks
