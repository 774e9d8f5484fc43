"""Papers, the test square, the check line and the sizes of letters, measured on the page."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import shapely
from pdfminer.high_level import extract_text
from pypdf import PdfReader

from pinwright.cutting.cutline import cut_line
from pinwright.geometry.path import Path as Outline
from pinwright.pattern.piece import Piece, edge
from pinwright.sheets.drawn import Drawn
from pinwright.sheets.ink import Words
from pinwright.sheets.pdf import laid_out, large_sheet
from pinwright.sheets.picture import picture
from pinwright.sheets.strips import LAP, LONGEST, join_lines, stretches
from pinwright.sheets.tiles import tiled_sheet
from pinwright.sheets.tiling import OVERLAP, PAPERS, Paper, tiling
from tests.sheets.orders import HEADING, pieces
from tests.sheets.page_points import read
from tests.sheets.raster import Seen, long_lines, look

CAPITAL = 0.718
"""Height of Helvetica's capitals in its size (Adobe's font metrics: CapHeight 718)."""

PAPER_SIZES = {"a3": (297, 420), "a4": (210, 297), "letter": (215.9, 279.4)}
"""mm: ISO 216 table 1; ANSI/ASME Y14.1 size A."""


@pytest.mark.parametrize("paper", ["a3", "a4", "letter"])
def test_papers_have_their_published_sizes(tmp_path: Path, paper: Paper) -> None:
    path = tiled_sheet(tmp_path / "t.pdf", pieces("jacket", False), HEADING, paper)
    for page in PdfReader(path).pages:
        size = [float(v) / 72 * 25.4 for v in (page.mediabox.width, page.mediabox.height)]
        assert size == pytest.approx(PAPER_SIZES[paper], abs=0.05)


def test_a3_needs_about_half_the_pages_and_covers_every_cut_line() -> None:
    drawings = [picture(d) for d in pieces("jacket", False)]
    t, small = tiling(drawings, "a3"), tiling(drawings, "a4")
    assert 0.35 * len(small.tiles) < len(t.tiles) < 0.65 * len(small.tiles)
    w, h = PAPERS["a3"][0] - 2, PAPERS["a3"][1] - 2
    windows = shapely.union_all(
        [shapely.box(x.left, x.bottom, x.left + w, x.bottom + h) for x in t.tiles]
    )
    for drawing in t.page.drawings:
        for m in drawing:
            if not isinstance(m, Words) and m.role == "cut line":
                assert windows.buffer(1e-6).covers(shapely.Polygon(m.chains[0]))
    steps = sorted({x.left for x in t.tiles})
    assert steps[1] - steps[0] == pytest.approx(w - OVERLAP)


def square_and_line(seen: Seen) -> tuple[float, float, float]:
    """Width and height of the test square and length of the line under it, cm, from the ink."""
    tall = 9.0 / seen.pitch
    columns = long_lines(seen.ink, int(tall))
    rows = long_lines(seen.ink.T, int(tall))
    assert len(columns) == 2, columns
    # two sides of the square, then the check line
    assert len(rows) == 3, rows
    width = (columns[1] - columns[0]) * seen.pitch
    height = (rows[1] - rows[0]) * seen.pitch
    # the line is drawn between the ticks at its ends: the outermost ink a little under it
    under = seen.ink[round(rows[2] + 0.1 / seen.pitch)]
    dark = np.flatnonzero(under > 0.3)
    ends = []
    for end, way in ((dark[0], 1), (dark[-1], -1)):
        run = [end]
        while under[run[-1] + way] > 0.3:
            run.append(run[-1] + way)
        ends.append(float(np.mean(run)))
    return width, height, (ends[1] - ends[0]) * seen.pitch


@pytest.mark.parametrize("paper", ["a3", "a4", "letter"])
def test_square_and_inches_measure_true_on_joined_pages(tmp_path: Path, paper: Paper) -> None:
    path = tiled_sheet(tmp_path / "t.pdf", pieces("trousers", False), HEADING, paper)
    _, h = PAPERS[paper]
    width, height, inches = square_and_line(look(path, box=(0.5, h - 18.0, 11.25, h - 3.5)))
    assert (width, height) == pytest.approx((10.0, 10.0), abs=0.02)
    assert inches == pytest.approx(4 * 2.54, abs=0.02)


def test_square_and_inches_measure_true_on_the_large_sheet(tmp_path: Path) -> None:
    path = large_sheet(tmp_path / "l.pdf", pieces("trousers", False), HEADING)
    h = float(PdfReader(path).pages[0].mediabox.height) / 72 * 2.54
    width, height, inches = square_and_line(look(path, box=(34.0, h - 13.6, 45.3, h - 1.0)))
    assert (width, height) == pytest.approx((10.0, 10.0), abs=0.02)
    assert inches == pytest.approx(4 * 2.54, abs=0.02)


def test_a_seam_measures_true_on_the_large_sheet(tmp_path: Path) -> None:
    """The side seam of a trouser front, found in the picture by the ink across its net line."""
    drawn = pieces("trousers", False)
    path = large_sheet(tmp_path / "l.pdf", drawn, HEADING)
    page = laid_out(drawn, 90.0, 470.0)[0]
    at = next(k for k, d in enumerate(drawn) if d.piece.name == "front")
    _, dx, dy = next(p for p in page.placed if p[0] == at)
    edge = drawn[at].piece.edge("side")
    run = max(edge.runs, key=lambda r: r.length)
    s = np.linspace(0.5, run.length - 0.5, int(run.length / 0.1))
    moved = np.array([dx + 1.5, dy + 1.5])
    want = np.array([run.at(float(v)) for v in s]) + moved
    t = np.array([run.tangent(float(v)) for v in s])
    across = np.stack([-t[:, 1], t[:, 0]], axis=1)
    x0, y0 = want.min(axis=0) - 1.0
    x1, y1 = want.max(axis=0) + 1.0
    seen = look(path, box=(x0, y0, x1, y1))
    reach = np.linspace(-0.12, 0.12, 49)
    off: list[float] = []
    found: list[np.ndarray] = []
    for p, n in zip(want, across, strict=True):
        ink = seen.at(p + reach[:, None] * n)
        if ink.sum() < 3.0:
            continue
        off.append(float(ink @ reach / ink.sum()))
        found.append(p + off[-1] * n)
    # dashes of 0.5 and gaps of 0.22 cm: about 0.69 of the line is ink
    assert 0.6 < len(found) / len(s) < 0.8
    # notches cross the line; what is left must lie on it to 0.2 mm
    assert np.percentile(np.abs(off), 98) < 0.02
    marks = np.array(found)[::20]
    there = want[[int(np.argmin(np.hypot(*(want - m).T))) for m in marks]]
    measured = float(np.hypot(*np.diff(marks, axis=0).T).sum())
    assert measured == pytest.approx(float(np.hypot(*np.diff(there, axis=0).T).sum()), abs=0.02)


@pytest.mark.parametrize("name", ["trousers", "jacket"])
def test_letters_are_large_enough(name: str) -> None:
    """The rule of docs/sheets.md, on every piece its label fits on."""
    for d in pieces(name):
        area = float(shapely.Polygon(d.cut_line).area)
        if area < 60.0:
            continue
        label = [m for m in picture(d) if isinstance(m, Words) and m.role == "label"]
        of_name = next(m for m in label if d.labels[0] in m.text)
        of_count = next(m for m in label if d.count in m.text)
        assert of_name.size * CAPITAL >= 0.45, d.title
        assert of_count.size * CAPITAL >= 0.2, d.title
        if d.side != "both":
            letter = next(m for m in label if m.text[:1] == d.side[:1].upper())
            assert letter.size * CAPITAL >= (2.0 if area > 400.0 else 0.45), d.title
        others = [m for m in picture(d) if isinstance(m, Words) and m.role != "label"]
        assert all(m.size * CAPITAL >= 0.25 for m in others if m.role != "fold"), d.title


@pytest.mark.parametrize("paper", ["a3", "a4", "letter"])
def test_the_first_page_asks_for_a_hundred_per_cent(tmp_path: Path, paper: Paper) -> None:
    path = tiled_sheet(tmp_path / "t.pdf", pieces("trousers", False), HEADING, paper)
    words = " ".join(extract_text(path, page_numbers=[0]).split())
    assert "print at 100 %" in words
    assert "4 in" in words
    assert "4 inches" in words
    assert "10 cm" in words


def test_a_piece_longer_than_a_page_is_split_and_never_scaled(tmp_path: Path) -> None:
    corners = {"a": (0.0, 0.0), "b": (30.0, 0.0), "c": (30.0, 620.0), "d": (0.0, 620.0)}
    names = list(corners)
    edges = tuple(
        edge(f"{p}{q}", p, Outline.line(np.array(corners[p]), np.array(corners[q])), q)
        for p, q in zip(names, names[1:] + names[:1], strict=True)
    )
    runner = Piece("runner", "Runner", edges, np.array([[15.0, 10.0], [15.0, 600.0]]), "single")
    d = Drawn(runner, "both", "cut 1", cut_line(runner), (), ("Runner", "cloth: cut 1"))
    path = large_sheet(tmp_path / "long.pdf", [d], HEADING)
    pages = PdfReader(path).pages
    assert len(pages) == 2
    rings = []
    for page in pages:
        assert max(page.mediabox.width, page.mediabox.height) <= 14400
        assert "/UserUnit" not in page
        assert "join 1" in page.extract_text()
        tall = [p for p in read(page).paths if np.ptp(p[:, 1]) == pytest.approx(622.0, abs=1e-3)]
        assert len(tall) == 1
        assert np.ptp(tall[0][:, 0]) == pytest.approx(32.0, abs=1e-3)
        rings.append(tall[0])
    # the joins lie at the same place of the piece
    levels = []
    for page, ring in zip(pages, rings, strict=True):
        across = [p for p in read(page).paths if len(p) == 2 and np.ptp(p[:, 1]) < 1e-6
                  and np.ptp(p[:, 0]) == pytest.approx(44.0, abs=1e-3)]  # fmt: skip
        assert len(across) == 1
        levels.append(float(across[0][0, 1] - ring[:, 1].min()))
    assert levels[0] == pytest.approx(levels[1], abs=1e-3)
    assert 100.0 < levels[0] < 500.0


@pytest.mark.parametrize("length", [12.0, 500.0, 500.1, 998.0, 1234.5, 5000.0])
@pytest.mark.parametrize("first", [460.0, 500.0])
def test_strips_show_all_and_overlap(length: float, first: float) -> None:
    found = stretches(length, first)
    assert found[0][0] == 0.0
    assert found[-1][1] == pytest.approx(length)
    assert found[0][1] <= first
    assert all(0.0 < b - a <= LONGEST + 1e-9 for a, b in found)
    for (_, end), (start, _) in pairwise(found):
        assert end - start == pytest.approx(LAP)
    # the join lines of neighbours lie at the same place of the whole
    for k in range(len(found) - 1):
        here = join_lines(found[k], length, 0.0, 100.0, k)
        there = join_lines(found[k + 1], length, 0.0, 100.0, k + 1)
        said = f"join {k + 1}:"
        a, b = (
            next(m for m in page if isinstance(m, Words) and said in m.text)
            for page in (here, there)
        )
        assert a.at == pytest.approx(b.at)
