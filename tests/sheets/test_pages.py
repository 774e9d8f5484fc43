"""The large and the tiled sheets, read back from the PDF."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
import shapely
from pypdf import PdfReader

from pinwright.cutting.cuts import cuts
from pinwright.cutting.material import Material
from pinwright.errors import GeometryError
from pinwright.sheets.drawn import Drawn, cut_count
from pinwright.sheets.ink import Drawing, Words, bounds
from pinwright.sheets.legend import title_block
from pinwright.sheets.lettering import printable, width_of, wrapped
from pinwright.sheets.pdf import large_sheet, sheet_number
from pinwright.sheets.picture import picture
from pinwright.sheets.svg import svg_sheet
from pinwright.sheets.tiles import relabelled, tiled_sheet
from pinwright.sheets.tiling import OVERLAP, PAPERS, Paper, join_boxes, joins, page_ends, tiling
from pinwright.sheets.writing import write_whole
from tests.sheets.orders import HEADING, off_its_fold, pieces
from tests.sheets.page_points import CM, read

GARMENTS = ["trousers", "jacket"]


def on_page(d: Drawn, paths: list[np.ndarray]) -> bool:
    """Whether a path of the page is the piece's cut line at 1:1, wherever it lies.

    On the fold nothing is cut, so there the path is open.
    """
    ring = off_its_fold(d.piece, d.cut_line) * ([-1.0, 1.0] if d.mirror else [1.0, 1.0])
    for path in paths:
        if len(path) == len(ring):
            apart = (path - path[0]) - (ring - ring[0])
            if np.abs(apart).max() < 1e-3:
                return True
    return False


@pytest.mark.parametrize("name", GARMENTS)
@pytest.mark.parametrize("corrected", [False, True])
def test_the_large_sheet_is_one_to_one(tmp_path: Path, name: str, corrected: bool) -> None:
    path = large_sheet(tmp_path / "large.pdf", pieces(name, corrected), HEADING)
    reader = PdfReader(path)
    drawn = [read(page) for page in reader.pages]
    for page in reader.pages:
        assert max(page.mediabox.width, page.mediabox.height) <= 14400
    every = [p for page in drawn for p in page.paths]
    for d in pieces(name, corrected):
        assert on_page(d, every), d.title
    # curves stay curves
    assert sum(page.curves for page in drawn) > 100
    assert all(not page.colours for page in drawn)


def test_the_test_square_measures_ten_centimetres(tmp_path: Path) -> None:
    for path in (
        large_sheet(tmp_path / "a.pdf", pieces("trousers"), HEADING),
        tiled_sheet(tmp_path / "b.pdf", pieces("trousers"), HEADING),
    ):
        first = read(PdfReader(path).pages[0])
        squares = [
            p
            for p in first.paths
            if len(p) >= 4 and np.ptp(p, axis=0) == pytest.approx([10.0, 10.0], abs=1e-3)
        ]
        assert squares


@pytest.mark.parametrize("name", GARMENTS)
def test_every_piece_says_whose_it_is(tmp_path: Path, name: str) -> None:
    path = large_sheet(tmp_path / "large.pdf", pieces(name, False), HEADING)
    text = "\n".join(page.extract_text() for page in PdfReader(path).pages)
    count = len(pieces(name, False))
    assert text.count("Ingrid Ångström-Løv") == count + 1
    assert text.count("order 2026-014") >= count + 1
    assert text.count("first fitting, 4 March 2026") >= count + 1
    for d in pieces(name, False):
        assert d.labels[0] in text
        assert d.count in text
    assert "ON THE FOLD" in text
    assert "hip" in text


def test_right_and_left_are_said_boldly_and_are_mirror_images() -> None:
    both = [d for d in pieces("trousers") if d.piece.name == "front"]
    assert [d.side for d in both] == ["right", "left"]
    # centre at the left and side at the right is the left front, seen from outside
    assert [d.mirror for d in both] == [True, False]
    for d in both:
        letter = "R" if d.side == "right" else "L"
        big = [m for m in picture(d) if isinstance(m, Words) and m.text == letter]
        assert big
        assert big[0].bold
        assert big[0].size >= 1.0
    assert "cut 1, right" in both[0].labels[1]
    backs = [d for d in pieces("trousers") if d.piece.name == "back"]
    assert [d.mirror for d in backs] == [False, True]


@pytest.mark.parametrize("name", GARMENTS)
def test_labels_lie_inside_the_piece_and_off_the_grain(name: str) -> None:
    for d in pieces(name):
        flip = [-1.0, 1.0] if d.mirror else [1.0, 1.0]
        cut = shapely.Polygon(d.cut_line * flip)
        grain = shapely.LineString(d.piece.grain * flip)
        words = [m for m in picture(d) if isinstance(m, Words) and m.role == "label"]
        assert words
        boxes = [shapely.Polygon(w.corners) for w in words]
        if cut.area < 60.0:
            continue  # too small for its label, which stands above it
        assert all(cut.covers(b) for b in boxes), d.title
        assert not any(b.intersects(grain) for b in boxes), d.title


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_tiles_cover_every_cut_line(paper: str) -> None:
    t = tiling([picture(d) for d in pieces("jacket")], paper)  # type: ignore[arg-type]
    w, h = t.window
    assert (w, h) == pytest.approx((PAPERS[paper][0] - 2, PAPERS[paper][1] - 2))
    windows = shapely.union_all(
        [shapely.box(x.left, x.bottom, x.left + w, x.bottom + h) for x in t.tiles]
    )
    for drawing in t.page.drawings:
        for mark in drawing:
            if isinstance(mark, Words):
                assert windows.buffer(1e-6).covers(shapely.Polygon(mark.corners))
            elif mark.role == "cut line":
                assert windows.buffer(1e-6).covers(shapely.Polygon(mark.chains[0]))


def test_joining_marks_meet_on_both_pages() -> None:
    t = tiling([picture(d) for d in pieces("trousers")], "a4")
    found: dict[int, list[tuple[float, float]]] = {}
    for tile in t.tiles:
        for number, x, y in joins(t, tile):
            found.setdefault(number, []).append((tile.left + x, tile.bottom + y))
    assert found
    for places in found.values():
        assert len(places) == 2
        assert places[0] == pytest.approx(places[1], abs=1e-9)
    # neighbours overlap by 1 cm, and the marks stand in the overlap
    by_name = {x.name: x for x in t.tiles}
    assert by_name["A2"].left - by_name["A1"].left == pytest.approx(t.window[0] - OVERLAP)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_tiled_sheet_prints_at_its_true_size(tmp_path: Path, paper: str) -> None:
    path = tiled_sheet(tmp_path / "t.pdf", pieces("jacket"), HEADING, paper)  # type: ignore[arg-type]
    reader = PdfReader(path)
    t = tiling([picture(d) for d in pieces("jacket")], paper)  # type: ignore[arg-type]
    assert len(reader.pages) == 1 + len(t.tiles)
    for page in reader.pages:
        size = (float(page.mediabox.width) / CM, float(page.mediabox.height) / CM)
        assert size == pytest.approx(PAPERS[paper], abs=1e-3)
    text = reader.pages[0].extract_text()
    assert "10 cm" in text
    for tile in t.tiles:
        assert tile.name in text
    # a page shows its own part of the sheet: the cut line of its piece, moved by its corner
    k, tile = next((k, x) for k, x in enumerate(t.tiles) if x.name == "B1")
    paths = read(reader.pages[k + 1]).paths
    cuts = [
        m.chains[0]
        for d in t.page.drawings
        for m in d
        if not isinstance(m, Words) and m.role == "cut line"
    ]
    window = shapely.box(tile.left, tile.bottom, tile.left + t.window[0], tile.bottom + t.window[1])
    here = [c for c in cuts if shapely.LineString(c).intersects(window)]
    assert here
    for ring in here:
        want = ring - [tile.left - 1.0, tile.bottom - 1.0]
        assert any(len(p) == len(want) and np.abs(p - want).max() < 1e-3 for p in paths)


def test_an_unknown_paper_is_refused() -> None:
    with pytest.raises(GeometryError, match="'a5' is not known; it may be a4, letter"):
        tiling([picture(pieces("jacket")[0])], "a5")  # type: ignore[arg-type]


def test_svg_is_in_centimetres(tmp_path: Path) -> None:
    path = svg_sheet(tmp_path / "s.svg", pieces("trousers", False), HEADING)
    root = ElementTree.parse(path).getroot()
    _, _, w, h = (float(v) for v in root.attrib["viewBox"].split())
    assert root.attrib["width"] == f"{w:.4f}cm"
    assert root.attrib["height"] == f"{h:.4f}cm"
    ns = "{http://www.w3.org/2000/svg}"
    cut = [p.attrib["d"] for p in root.iter(f"{ns}path") if p.attrib.get("class") == "cut-line"]
    assert len(cut) == len(pieces("trousers", False))
    # the tallest cut line is as tall as the tallest piece
    heights = [np.ptp([float(p.split()[1]) for p in re.findall(r"[ML]([^MLZ]+)", d)]) for d in cut]
    wanted = [np.ptp(d.cut_line[:, 1]) for d in pieces("trousers", False)]
    assert sorted(heights) == pytest.approx(sorted(wanted), abs=1e-3)
    texts = {t.text for t in root.iter(f"{ns}text")}
    assert "Ingrid Ångström-Løv" in texts


def test_accents_print_and_other_scripts_lose_theirs() -> None:
    assert printable("Ångström-Løv, Señora Brûlée") == "Ångström-Løv, Señora Brûlée"
    assert printable("Łódź −1 → ⅝") == "Lódz -1 to  5/8"
    assert printable("Юлия") == "????"
    assert width_of("MM", 1.0) == pytest.approx(2 * 0.833)  # Helvetica's M is 833/1000 em


def test_words_are_broken_at_spaces() -> None:
    text = "the waist is one centimetre shorter at the side"
    rows = wrapped(text, 0.5, 4.0)
    assert " ".join(rows) == text
    assert all(width_of(r, 0.5) <= 4.0 for r in rows)


def test_the_same_order_prints_the_same_bytes(tmp_path: Path) -> None:
    one = large_sheet(tmp_path / "one.pdf", pieces("jacket"), HEADING).read_bytes()
    two = large_sheet(tmp_path / "two.pdf", pieces("jacket"), HEADING).read_bytes()
    assert one == two


def test_a_failed_write_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "sheet.pdf"
    write_whole(target, b"old")

    def broken(*_: object) -> None:
        raise OSError("disk full")

    monkeypatch.setattr("os.replace", broken)
    with pytest.raises(OSError, match="disk full"):
        write_whole(target, b"new")
    assert target.read_bytes() == b"old"
    assert [f.name for f in tmp_path.iterdir()] == ["sheet.pdf"]


def test_nothing_drawn_lies_outside_its_bounds() -> None:
    drawing = picture(pieces("jacket")[0])
    x0, y0, x1, y1 = bounds(drawing)
    ring = pieces("jacket")[0].cut_line
    assert x1 - x0 >= np.ptp(ring[:, 0]) - 1e-9
    assert y1 - y0 >= np.ptp(ring[:, 1]) - 1e-9


def test_the_sheets_count_what_the_lay_lays() -> None:
    """Two pairs of bags are four; one facing for the right front, one shield on its own fold."""
    own = pieces("trousers", False)
    said = {d.piece.name: d.labels[1] for d in own}
    assert said["pocket_bag"] == "pocketing: cut 4, two pairs"
    assert said["fly_facing"] == "cloth: cut 1 (right front)"
    assert said["fly_shield"] == "cloth: cut 1 on the fold (left front)"
    assert said["front"] == "cloth: cut 2, a pair"
    for d in own:
        half = {d.piece.name: d.piece}
        laid = cuts(half, half, "trousers", Material(width=150.0))
        assert int(d.count.split()[1].rstrip(",")) == len(laid), d.title
    bag = next(d.piece for d in own if d.piece.name == "pocket_bag")
    assert cut_count(bag, "right") == "cut 2, right"
    assert cut_count(replace(bag, count=3), "both") == "cut 6, three pairs"
    assert cut_count(replace(bag, cut="single"), "both") == "cut 2"


def fold_words(drawing: Drawing) -> list[shapely.Polygon]:
    """The white behind the words on folds: see pdf._paint_words."""
    return [
        shapely.Polygon(m.corners).buffer(0.12 * m.size, join_style="mitre")
        for m in drawing
        if isinstance(m, Words) and m.role == "fold"
    ]


def test_words_on_a_fold_blank_no_ring_number() -> None:
    """Slid along their bracket they miss every joining mark, and no page ends in them."""
    in_the_way = 0
    some: tuple[tuple[str, bool, Paper], ...] = (
        ("jacket", True, "letter"),
        ("trousers", True, "a4"),
    )
    for name, corrected, paper in some:
        drawn = pieces(name, corrected)
        t = tiling([picture(d) for d in drawn], paper)
        marks = shapely.union_all([*join_boxes(t), *page_ends(t)])
        done = relabelled(t, drawn)
        for before, after in zip(t.page.drawings, done.page.drawings, strict=True):
            in_the_way += sum(box.intersects(marks) for box in fold_words(before))
            assert not any(box.intersects(marks) for box in fold_words(after))
    assert in_the_way


def test_the_number_of_a_second_sheet_is_clear_of_the_test_square() -> None:
    """It stood across the corner of the square: it stands over the key of lines."""
    block, _, high = title_block(HEADING)
    assert sheet_number(0, high) == ()
    (number,) = sheet_number(1, high)
    assert isinstance(number, Words)
    assert number.text == "sheet 2"
    box = shapely.Polygon(number.corners)
    for m in block:
        parts = [m.corners] if isinstance(m, Words) else [c.reshape(-1, 2) for c in m.chains]
        assert not any(shapely.Polygon(p).intersects(box) for p in parts if len(p) > 2)
        assert not any(shapely.LineString(p).intersects(box) for p in parts)
