"""The lay on paper and as a strip: read back with pypdf, pdfminer and pdfium."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from pdfminer.high_level import extract_text
from pypdf import PdfReader

from pinwright.cutting.cuts import cuts
from pinwright.cutting.fields import fields
from pinwright.cutting.lay.placing import Field, Lay, Placement, Template, placed
from pinwright.cutting.material import Material, Repeat
from pinwright.cutting.shrinking import told as shrinking_told
from pinwright.draft import style
from pinwright.errors import GeometryError
from pinwright.sheets.drawn import Heading
from pinwright.sheets.ink import Stroke, Words, bounds, line, scaled, turned
from pinwright.sheets.labels import TextLine
from pinwright.sheets.lay_inner import inner_drawings
from pinwright.sheets.lay_labels import label
from pinwright.sheets.lay_picture import (
    how,
    lay_parts,
    lay_picture,
    name_of,
    numbered,
    off_fold,
)
from pinwright.sheets.lay_sheet import SCALES, key_signs, lay_sheet
from pinwright.sheets.lay_signs import Sizes, cloth_edges, cloth_end
from pinwright.sheets.lay_strip import LETTER, lay_strip, strip_signs
from pinwright.sheets.lay_words import LaidCloth, cut_list, facts, instructions
from pinwright.sheets.notches import notches
from pinwright.sheets.strips import LAP
from pinwright.sheets.tiling import PAPERS, Paper
from pinwright.workshop.second_cut import pairs
from tests.sheets import lays
from tests.sheets.orders import fitted
from tests.sheets.page_points import CM, read
from tests.sheets.raster import long_lines, look

HEADING = Heading("Ingrid Ångström-Løv", "2026-014", "jacket", "before the fitting", "4 March 2026")
Make = Callable[[], tuple[Lay, Material]]
MAKES: list[Make] = [lays.single, lays.folded, lays.remnant]


def words(path: Path, page: int) -> str:
    return " ".join(extract_text(path, page_numbers=[page]).split())


def matches(path: np.ndarray, want: np.ndarray, tolerance: float = 2e-3) -> np.ndarray | None:
    """Where on the page a path is that outline, moved and nothing else; None elsewhere."""
    if len(path) not in (len(want), len(want) + 1):
        return None
    shift = path[: len(want)] - want
    return shift[0] if np.abs(shift - shift[0]).max() < tolerance else None


def together(paths: list[np.ndarray], wants: list[np.ndarray]) -> np.ndarray:
    """The one shift by which all outlines are found on the page, each at its place."""
    each = [[s for q in paths if (s := matches(q, w)) is not None] for w in wants]
    whole = [
        s for s in each[0] if all(any(np.abs(s - o).max() < 4e-3 for o in other) for other in each)
    ]
    assert whole
    assert np.ptp(np.array(whole), axis=0) == pytest.approx([0.0, 0.0], abs=4e-3)
    return whole[0]


@pytest.mark.parametrize("make", MAKES)
def test_what_is_left_over_is_free_where_the_tape_finds_it(make: Make) -> None:
    """Measured from the cut end and from the edge of the cloth, the selvedge along."""
    lay, material = make()
    cloth = LaidCloth(lay, material)
    said = next(s for s in instructions(cloth, "cm") if s.startswith("Left over"))
    edge = cloth_edges(lay, cloth.on_table)[0] if lay.field.outline is None else 0.0
    pieces = shapely.union_all([shapely.Polygon(placed(t, p)) for t, p in pairs(lay)])
    found = re.findall(
        r"(\d+) cm by (\d+) cm, (?:at|([\d.]+) cm from) the cut end, "
        r"(?:at|([\d.]+) cm from) the (fold|lower edge|edge of the lower selvedge)",
        said,
    )
    assert len(found) == said.count(" by ") - said.count("along by across")
    for along, across, x, y, _ in found:
        x0, y0 = float(x or 0.0), float(y or 0.0) + edge
        scrap = shapely.box(x0, y0, x0 + float(along), y0 + float(across))
        # what a tape does not show
        assert not scrap.buffer(-0.06).intersects(pieces)


@pytest.mark.parametrize("paper", ["a4", "a3", "letter"])
@pytest.mark.parametrize("make", MAKES)
def test_the_lay_is_drawn_to_the_scale_it_states(tmp_path: Path, make: Make, paper: Paper) -> None:
    lay, material = make()
    path = lay_sheet(tmp_path / "l.pdf", [LaidCloth(lay, material)], HEADING, paper)
    page = PdfReader(path).pages[0]
    size = (float(page.mediabox.width) / CM, float(page.mediabox.height) / CM)
    assert size == pytest.approx(PAPERS[paper][::-1], abs=1e-3)
    said = re.search(r"drawn 1:(\d+)", words(path, 0))
    assert said
    scale = int(said[1])
    assert scale in SCALES
    drawn = read(page).paths
    together(drawn, [placed(lay.template(p.key), p) / scale for p in lay.placements])
    # and it keeps off the rim most printers cannot print in
    every = np.concatenate(drawn)
    assert (every.min(axis=0) > 0.9).all()
    assert (every.max(axis=0) < np.array(size) - 0.9).all()


def test_the_scale_bar_measures_what_it_says(tmp_path: Path) -> None:
    path = lay_sheet(tmp_path / "l.pdf", [LaidCloth(*lays.folded())], HEADING)
    said = words(path, 0)
    scale = int(re.search(r"drawn 1:(\d+)", said)[1])  # type: ignore[index]
    seen = look(path, box=(0.8, 1.82, 6.8, 2.18))
    rows = seen.ink
    bar = np.flatnonzero((rows > 0.5).sum(axis=0) >= 2)
    long = (bar[-1] - bar[0] + 1) * seen.pitch * scale
    told = [float(v) for v in re.findall(r"\b0 (?:\d+ )+(\d+) cm", said)]
    assert any(long == pytest.approx(v, abs=0.03 * scale) for v in told if v > 20.0)


def test_the_lay_sheet_says_what_a_cutter_needs(tmp_path: Path) -> None:
    cloths = [LaidCloth(*lays.single(), remarks=("The belt loops come from the selvedge.",)),
              LaidCloth(*lays.folded()), LaidCloth(*lays.remnant())]  # fmt: skip
    path = lay_sheet(tmp_path / "l.pdf", cloths, HEADING)
    assert len(PdfReader(path).pages) == 6
    first, second = words(path, 0), words(path, 1)
    for text in ("Ingrid Ångström-Løv", "order 2026-014", "The lay 1 of 3", "wool check",
                 "150 cm wide", "used: 89 cm", "nap: all tops this way", "flaw", "lower selvedge",
                 "upper selvedge",
                 "hold back", "repeat along", "selvedge, 1.5 cm not used",
                 "page 1 of 6"):  # fmt: skip
        assert text in first, text
    assert "cut end" in PdfReader(path).pages[0].extract_text()
    for text in ("Shrink the cloth first", "2 % along", "single, right side up", "5 cm along",
                 "one 2.5 cm from the lower edge", "One flaw", "Cut for the fitting: 8",
                 "3 Front, right: face down", "Cut after the fitting: 1", "9 Collar",
                 "only after the fitting", "belt loops come from the selvedge",
                 "cut away from the hand"):  # fmt: skip
        assert text in second, text
    folded = words(path, 2) + words(path, 3)
    for text in ("FOLD: do not cut", "both selvedges", "R+L", "turned", "on the fold",
                 "right side in", "Front, right + left: double, turned", "tilted 2°",
                 "never cut along the fold"):  # fmt: skip
        assert text in folded, text
    assert "remnant from the coat" in words(path, 4)
    assert "Measure the remnant" in words(path, 5)


def test_inches_for_those_who_measure_in_inches(tmp_path: Path) -> None:
    heading = Heading("A. Client", "7", "jacket", "first", "today", unit="in")
    path = lay_sheet(tmp_path / "l.pdf", [LaidCloth(*lays.single())], heading, "letter")
    # 89 / 2.54 = 35.04: an eighth of an inch more holds it
    assert "used: 35 1/8 in" in words(path, 0)
    assert "0 6 12 18 in" in words(path, 0)
    assert "59 in from edge to edge" in words(path, 1)  # 150 / 2.54 = 59.06
    for text in (words(path, 0), words(path, 1)):
        assert not re.search(r"\bcm\b", text)


def test_density_by_hand() -> None:
    lay, material = lays.remnant()
    whole = float(shapely.Polygon(lay.field.outline).area)
    cut = 2 * float(shapely.Polygon(lays.POCKET).area)
    assert facts(LaidCloth(lay, material), "cm") == (
        f"pieces take {100 * cut / whole:.1f} % of it",
    )


@pytest.mark.parametrize("make", MAKES)
def test_labels_lie_inside_their_piece_or_on_left_over_cloth(make: Make) -> None:
    lay, material = make()
    for scale in (10.0, 20.0):
        parts = lay_parts(lay, material, Sizes(scale))
        outlines = {p.number: shapely.Polygon(p.outline) for p in parts.pieces}
        for p in parts.pieces:
            assert any(w.text.split()[0] == str(p.number) for w in p.words), p.title
            for w in p.words:
                middle = shapely.Point(w.corners.mean(axis=0))
                others = [o for n, o in outlines.items() if n != p.number]
                assert not any(o.contains(middle) for o in others), (p.title, w.text)
            inside = [shapely.Polygon(w.corners) for w in p.words]
            whole = outlines[p.number].buffer(0.03 * scale)
            if len(p.words) > 1:
                assert all(whole.covers(b.centroid) for b in inside), p.title


def test_right_left_and_how_it_lies_are_said_on_the_piece() -> None:
    lay, material = lays.single()
    parts = lay_parts(lay, material, Sizes(5.0))
    said = {p.template.key: " | ".join(w.text for w in p.words) for p in parts.pieces}
    assert said["front-right"].startswith("R |")
    assert "face down" in said["front-right"]
    assert said["front-left"].startswith("L |")
    assert "face down" not in said["front-left"]
    assert "hold back:" in said["collar"]
    assert "cut after the fitting" in said["collar"]


def test_the_arrow_points_to_the_top_of_the_piece() -> None:
    lay, material = lays.folded()
    parts = lay_parts(lay, material, Sizes(5.0))
    for p in parts.pieces:
        heads = [
            m for m in p.strokes if m.role == "lay grain" and isinstance(m, Stroke) and m.closed
        ]
        assert len(heads) == 1, p.title
        head = heads[0].chains[0]
        way = head[1] - (head[0] + head[2]) / 2
        t = np.radians(p.at.rotation)
        assert way / np.hypot(*way) == pytest.approx([np.cos(t), np.sin(t)], abs=1e-6)
        area = shapely.Polygon(p.outline)
        assert area.contains(shapely.Polygon(head))


def test_what_is_held_back_is_dashed_round_the_piece() -> None:
    lay, material = lays.single()
    parts = lay_parts(lay, material, Sizes(10.0))
    rims = [m for p in parts.pieces for m in p.strokes if m.role == "lay kept"]
    assert len(rims) == 1
    rim = rims[0]
    assert isinstance(rim, Stroke)
    assert rim.dash
    collar = next(p for p in parts.pieces if p.template.key == "collar")
    edge = shapely.LinearRing(rim.chains[0])
    # 2 cm of cloth round it, at the nearest
    assert shapely.distance(edge, shapely.LinearRing(collar.outline)) == pytest.approx(
        2.0, abs=1e-6
    )


def test_no_cut_line_runs_along_the_fold() -> None:
    lay, material = lays.folded()
    parts = lay_parts(lay, material, Sizes(10.0))
    back = next(p for p in parts.pieces if p.template.on_fold)
    bold = [m for m in back.strokes if isinstance(m, Stroke) and m.role == "lay piece" and m.weight]
    chains = [c for m in bold for c in m.chains]
    length = sum(float(np.hypot(*np.diff(c, axis=0).T).sum()) for c in chains)
    ring = shapely.LinearRing(back.outline)
    on_fold = 66.0  # lays.BACK_HALF stands on y = 0 from 0 to 66
    assert length == pytest.approx(ring.length - on_fold)
    assert all(not (np.abs(c[:-1, 1]) + np.abs(c[1:, 1]) < 1e-9).any() for c in chains)


def test_off_fold_begins_anywhere_on_the_outline() -> None:
    ring = np.array([[0, 0], [4, 0], [4, 3], [0, 3.0]])
    for k in range(4):
        (only,) = off_fold(np.roll(ring, -k, axis=0))
        assert only == pytest.approx(np.array([[4, 0], [4, 3], [0, 3], [0, 0]]))
    (whole,) = off_fold(ring + 1.0)
    assert len(whole) == 5


def test_repeat_lines_stand_where_the_cloth_repeats() -> None:
    lay, material = lays.single()
    parts = lay_parts(lay, material, Sizes(1.0))
    (drawn,) = [m for m in parts.over if isinstance(m, Stroke) and m.role == "lay repeat"]
    upright = sorted({round(float(c[0, 0]), 6) for c in drawn.chains if np.ptp(c[:, 0]) < 1e-9})
    level = sorted({round(float(c[0, 1]), 6) for c in drawn.chains if np.ptp(c[:, 1]) < 1e-9})
    # 1 cm from the cut end, every 5; 2.5 cm from the selvedge of which 1.5 are not used, every 4
    assert upright == pytest.approx(np.arange(1.0, 89.0, 5.0))
    assert level == pytest.approx(np.arange(1.0, 147.0, 4.0))


def test_a_close_repeat_is_thinned_and_said(tmp_path: Path) -> None:
    lay, _ = lays.long(17)
    fine = Lay(Field(58.0, None, 0.3, repeat=(0.5, 0.0)), lay.templates, lay.placements, lay.length)
    material = Material(name="hairline stripe", width=60.0, repeat=Repeat(0.5))
    path = lay_sheet(tmp_path / "l.pdf", [LaidCloth(fine, material)], HEADING)
    assert re.search(r"repeat along, every \d+th line", words(path, 0))


def test_turned_and_tilted_are_told_apart() -> None:
    t = Template("a", "jacket", "front", "left", lays.FRONT)
    told = {r: how(t, Placement("a", 0.0, 0.0, r)) for r in (0.0, 180.0, 3.0, 357.0, 178.5)}
    assert told[0.0] == ()
    assert told[180.0] == ("turned",)
    assert told[3.0] == told[357.0] == ("tilted 3°",)
    assert told[178.5] == ("turned", "tilted 1.5°")


def test_a_side_is_said_once() -> None:
    t = Template("a", "jacket", "sleeve", "right", lays.SLEEVE, title="sleeve, right")
    lay = Lay(Field(50.0), (t,), (Placement("a", 0.0, 2.0),), 60.0)
    (piece,) = lay_parts(lay, Material(width=52.0), Sizes(5.0)).pieces
    assert piece.title == "Sleeve, right"
    assert [w.text for w in piece.words] == ["R", "1  Sleeve"]


def test_numbers_run_along_the_cloth() -> None:
    lay, material = lays.single()
    left = [placed(lay.template(p.key), p)[:, 0].min() for p in numbered(lay)]
    assert left == sorted(left)
    pieces = lay_parts(lay, material, Sizes(10.0)).pieces
    assert [p.number for p in pieces] == list(range(1, len(pieces) + 1))
    rows = [row for _, part in cut_list(pieces) for row in part]
    assert len(rows) == len(pieces)


def test_shrunk_cloth_is_told_each_way() -> None:
    lay, _ = lays.single()
    for shrink, text in (("first", "Shrink the cloth first"), ("scaled", "Do not shrink"),
                         ("done", "shrunk already")):  # fmt: skip
        m = Material(width=150.0, shrink_along=3.0, shrink_across=1.5, shrink=shrink)  # type: ignore[arg-type]
        said = " ".join(instructions(LaidCloth(lay, m)))
        assert text in said
        assert "3 % along" in said
        assert "1.5 % across" in said
        # what the remarks tell of it already is not told again
        told = shrinking_told(m, lay.length)
        again = instructions(LaidCloth(lay, m, remarks=told))
        assert sum("% along" in s for s in again) == 1
    # measured once it is shrunk: 150 - 1.5 % wide, its lines nearer each other
    check = Material(
        width=150.0, shrink_along=3.0, shrink_across=1.5,
        repeat=Repeat(10.0, 4.0, 2.0, 3.0, turns=True),
    )  # fmt: skip
    laid = replace(lay, field=fields(check)[0])
    said = " ".join(instructions(LaidCloth(laid, check)))
    assert "Measure the shrunk cloth before cutting" in said
    assert "147.8 cm from edge to edge" in said
    assert "a bar every 9.7 cm along, one 1.9 cm from the cut end" in said  # 1.94
    assert "a stripe every 3.9 cm across, one 3 cm from the lower edge" in said  # 3.94, 2.955


def test_no_lay_and_unknown_paper_are_refused(tmp_path: Path) -> None:
    with pytest.raises(GeometryError, match="no lay to draw"):
        lay_sheet(tmp_path / "l.pdf", [], HEADING)
    with pytest.raises(GeometryError, match="'a5' is not known; it may be a4, letter, a3"):
        lay_sheet(tmp_path / "l.pdf", [LaidCloth(*lays.single())], HEADING, "a5")  # type: ignore[arg-type]


def test_many_pieces_take_more_pages_and_none_is_lost(tmp_path: Path) -> None:
    path = lay_sheet(tmp_path / "l.pdf", [LaidCloth(*lays.long(90))], HEADING)
    pages = len(PdfReader(path).pages)
    assert pages > 2
    rows = " ".join(words(path, k) for k in range(1, pages))
    for k in range(90):
        assert f"Front {k}, left" in rows


def quarter(points: np.ndarray) -> np.ndarray:
    """Along up the page, across to the left."""
    return np.stack([-points[:, 1], points[:, 0]], axis=1)


@pytest.mark.parametrize("make", MAKES)
def test_the_strip_is_one_to_one_and_as_wide_as_the_cloth(tmp_path: Path, make: Make) -> None:
    lay, material = make()
    path = lay_strip(tmp_path / "s.pdf", lay, material, HEADING)
    reader = PdfReader(path)
    assert len(reader.pages) == 1
    page = reader.pages[0]
    wide = float(page.mediabox.width) / CM
    if lay.field.outline is None:
        assert wide == pytest.approx(material.width / (2 if lay.field.folded else 1), abs=1e-3)
    drawn = read(page).paths
    shift = together(drawn, [quarter(placed(lay.template(p.key), p)) for p in lay.placements])
    # the lower edge of what may be used is the selvedge away from the page's edge
    margin = 0.0 if lay.field.folded or lay.field.outline is not None else material.selvedge
    assert shift[0] == pytest.approx(wide - margin, abs=2e-3)


def test_a_piece_on_the_strip_measures_true_in_the_picture(tmp_path: Path) -> None:
    """The facing of 52 by 4 cm, found by its ink alone."""
    lay, material = lays.single()
    path = lay_strip(tmp_path / "s.pdf", lay, material, HEADING)
    h = float(PdfReader(path).pages[0].mediabox.height) / CM
    # the facing's left edge is 139 cm from the lower edge of the used cloth, at the right
    x1 = 150.0 - 1.5 - 139.0 + 0.4
    seen = look(path, box=(x1 - 4.9, h - 3.0 - 0.8 - 89.0 - 0.5, x1 + 0.1, h - 3.0 - 0.8 - 30.0))
    columns = long_lines(seen.ink, int(48.0 / seen.pitch))
    assert len(columns) == 2
    assert (columns[1] - columns[0]) * seen.pitch == pytest.approx(4.0, abs=0.02)
    # its ends: rows whose ink is unbroken from side to side
    a, b = (round(c) for c in columns)
    full = np.flatnonzero((seen.ink[:, a + 3 : b - 3] > 0.4).all(axis=1))
    top, low = full.min(), full.max()
    thick = (full < full.min() + 20).sum() / 2
    cut_end = [k for k in full if k > top + 51.0 / seen.pitch and k < top + 52.4 / seen.pitch]
    assert cut_end
    high = (float(np.mean(cut_end)) - (top + thick - 0.5)) * seen.pitch
    assert high == pytest.approx(52.0, abs=0.02)
    assert low >= max(cut_end)


def test_a_long_strip_is_split_and_never_scaled(tmp_path: Path) -> None:
    lay, material = lays.long()
    path = lay_strip(tmp_path / "s.pdf", lay, material, HEADING)
    pages = PdfReader(path).pages
    assert len(pages) == 2
    for page in pages:
        assert max(page.mediabox.width, page.mediabox.height) <= 14400
        assert "/UserUnit" not in page
        assert float(page.mediabox.width) / CM == pytest.approx(60.0, abs=1e-3)
    wants = [quarter(placed(lay.template(p.key), p)) for p in lay.placements]
    shifts = [together(read(page).paths, wants) for page in pages]
    # the join line stands at the same place of the cloth on both pages
    joins = []
    for page, shift in zip(pages, shifts, strict=True):
        assert "join 1" in page.extract_text()
        level = [q for q in read(page).paths if len(q) == 2 and np.ptp(q[:, 1]) < 1e-6
                 and np.ptp(q[:, 0]) == pytest.approx(60.0, abs=1e-3)]  # fmt: skip
        joins.append({round(float(q[0, 1]) - shift[1], 2) for q in level})
    common = joins[0] & joins[1]
    h = float(pages[0].mediabox.height) / CM
    assert any(v == pytest.approx(h - shifts[0][1] - LAP / 2, abs=0.02) for v in common)


def test_what_is_inside_a_piece_is_laid_with_it(tmp_path: Path) -> None:
    lay, material = lays.folded()
    inner = {"front": (line((5.0, 6.0), (30.0, 9.0), role="net line"),)}
    drawn = lay_parts(lay, material, Sizes(1.0), inner)
    front = next(p for p in drawn.pieces if p.template.key == "front")
    (stroke,) = [m for m in front.strokes if m.role == "net line"]
    assert isinstance(stroke, Stroke)
    # turned by 180 degrees about the origin and moved to (67, 55)
    assert stroke.chains[0] == pytest.approx(np.array([[62.0, 49.0], [37.0, 46.0]]))
    path = lay_strip(tmp_path / "s.pdf", lay, material, HEADING, inner)
    assert len(PdfReader(path).pages) == 1


def test_the_picture_is_the_parts_in_order() -> None:
    lay, material = lays.single()
    whole = lay_picture(lay, material, 10.0)
    assert len(whole) == len(lay_parts(lay, material, Sizes(10.0)).whole)
    x0, y0, x1, y1 = bounds(whole)
    assert x0 < 0.0 < 89.0 < x1
    assert y0 < -1.5
    assert y1 > 148.5


def test_scaling_and_turning_drawings() -> None:
    drawing = (line((1, 2), (3, 4), weight=0.1, dash=(0.5, 0.2)),
               Words(np.array([1.0, 0.0]), "abc", 0.4, 10.0))  # fmt: skip
    half = scaled(drawing, 0.5)
    assert isinstance(half[0], Stroke)
    assert half[0].chains[0] == pytest.approx(np.array([[0.5, 1.0], [1.5, 2.0]]))
    assert (half[0].weight, half[0].dash) == (0.05, (0.25, 0.1))
    assert isinstance(half[1], Words)
    assert half[1].size == 0.2
    up = turned(drawing, 90.0)
    assert isinstance(up[0], Stroke)
    assert up[0].chains[0] == pytest.approx(np.array([[-2.0, 1.0], [-4.0, 3.0]]))
    assert isinstance(up[1], Words)
    assert up[1].at == pytest.approx([0.0, 1.0])
    assert up[1].angle == 100.0


@pytest.mark.parametrize("turn", [0.0, 90.0, 37.0])
def test_words_are_never_upside_down(turn: float) -> None:
    z = Sizes(turn=turn)
    for angle in np.arange(-360.0, 361.0, 15.0):
        shown = (z.upright(float(angle)) + turn + 180.0) % 360.0 - 180.0
        assert -90.0 - 1e-9 < shown <= 90.0 + 1e-9
        assert (z.upright(float(angle)) - angle) % 180.0 == pytest.approx(0.0, abs=1e-9)


def test_a_piece_that_fits_only_its_number_keeps_it() -> None:
    tiny = Template("tab", "jacket", "tab", "both", np.array([[0, 0], [3, 0], [3, 1], [0, 1.0]]))
    lay = Lay(Field(50.0), (tiny,), (Placement("tab", 20.0, 20.0),), 60.0)
    (piece,) = lay_parts(lay, Material(width=52.0), Sizes(20.0)).pieces
    assert [w.text for w in piece.words] == ["1"]
    box = shapely.Polygon(piece.words[0].corners)
    assert not box.intersects(shapely.Polygon(piece.outline))
    assert box.distance(shapely.Polygon(piece.outline)) < 20.0


def test_net_lines_and_notches_lie_in_the_pieces_on_the_lay() -> None:
    """The net line of every part, laid, is the allowances' width inside the cut line."""
    fit = fitted("jacket")
    derive = style("jacket").derive
    halves = {
        side: dict(half.by_name)
        | {p.name: p for p in derive(half.by_name, replace(half.garment, facts=half.facts))}
        for side, half in (("right", fit.right), ("left", fit.left))
    }
    shell = {s: {k: p for k, p in h.items() if p.layer == "shell"} for s, h in halves.items()}
    material = Material(width=150.0)
    made = cuts(shell["right"], shell["left"], "jacket", material)
    inner = inner_drawings(made, {"right": notches(fit.right), "left": notches(fit.left)})
    assert set(inner) == {c.template.key for c in made}
    for c in made:
        cut = shapely.Polygon(c.template.outline).buffer(1e-6)
        net = [m for m in inner[c.template.key] if m.role == "net line"]
        assert net
        assert not any(isinstance(m, Words) or m.role == "grain" for m in inner[c.template.key])
        for m in net:
            assert isinstance(m, Stroke)
            points = np.concatenate([ch[:, (0, 3)].reshape(-1, 2) for ch in m.chains])
            assert cut.covers(shapely.MultiPoint(points)), c.template.key
            away = shapely.distance(shapely.points(points), shapely.LinearRing(c.template.outline))
            least = min(e.allowance + e.reserve for e in c.parts[0].piece.edges)
            if not c.template.on_fold and c.parts[0].piece.cut != "fold":
                assert away.min() == pytest.approx(least, abs=0.02)
    ticks = [m for m in inner["jacket.front.left"] if m.role == "notch"]
    assert ticks


def test_the_repeat_is_told_each_way_on_the_key_and_on_the_strip(tmp_path: Path) -> None:
    """Lines across the cloth tell the repeat along it, and the key draws them so."""
    lay, material = lays.single()
    rows = key_signs(LaidCloth(lay, material), 10, "cm")
    along, across = (
        next(s[0] for s, text in rows if text.startswith(f"repeat {way}"))
        for way in ("along", "across")
    )
    assert isinstance(along, Stroke)
    assert isinstance(across, Stroke)
    assert np.ptp(along.chains[0], axis=0)[0] == 0.0
    assert np.ptp(across.chains[0], axis=0)[1] == 0.0
    path = lay_strip(tmp_path / "s.pdf", lay, material, HEADING)
    steps = [f"{step:g} cm {way}" for step, way in zip(lay.field.repeat, ("along", "across"),
                                                       strict=True) if step]  # fmt: skip
    said = words(path, 0)
    assert f"the repeat of the cloth, every {' and '.join(steps)}" in said
    assert "Dashed along a selvedge: 1.5 cm that are not used" in said


def test_the_strip_names_the_selvedge_that_the_left_over_is_told_from() -> None:
    lay, material = lays.single()
    low, high = cloth_edges(lay, material)
    signs = strip_signs(lay, material, 0.0, cloth_end(lay, Sizes(1.0)), low, high, "cm")
    at = {m.text: float(m.at[1]) for m in signs if isinstance(m, Words)}
    assert abs(at["lower selvedge"] - low) < 1.0
    assert abs(at["upper selvedge"] - high) < 1.0


def test_words_across_lines_have_white_behind_them() -> None:
    outline = np.array([[0.0, 0.0], [12.0, 0.0], [12.0, 6.0], [0.0, 6.0]])
    close = tuple(line((0.0, y), (12.0, y)) for y in np.arange(0.5, 6.0, 0.5))
    blocks = [[TextLine("1 Front", 1.0, True)]]
    sizes, none = Sizes(1.0, 1.2), shapely.Polygon()
    assert all(w.halo for w in label(blocks, outline, sizes, none, close))
    assert not any(w.halo for w in label(blocks, outline, sizes, none))


def test_words_on_the_strip_never_blank_a_cut_or_net_line() -> None:
    """Narrow pieces of the trousers, laid at 1:1 with their net lines: facing, bearer, band, lap.

    White reaches 0.12 of the letters beyond their box (see pdf._paint_words)."""
    fit = fitted("trousers")
    own = dict(fit.right.by_name)
    derived = style("trousers").derive(own, replace(fit.garment, facts=fit.right.facts))
    shell = {p.name: p for p in (*own.values(), *derived) if p.layer in ("shell", "facing")}
    made = cuts(shell, shell, "trousers", Material(width=150.0))
    inner = inner_drawings(made, {})
    templates = tuple(c.template for c in made)
    places = tuple(
        Placement(t.key, 150.0 * k - float(t.outline[:, 0].min()), 60.0, 0.0)
        for k, t in enumerate(templates)
    )
    lay = Lay(Field(150.0), templates, places, 150.0 * len(made))
    sizes = Sizes(1.0, LETTER, turn=90.0, shaded=False)
    narrow = 0
    for p in lay_parts(lay, Material(width=152.0), sizes, inner, signs=False).pieces:
        sewn = shapely.union_all(
            [
                shapely.LineString(c[:, (0, 3)].reshape(-1, 2))
                for m in p.strokes
                if isinstance(m, Stroke) and m.role == "net line"
                for c in m.chains
            ]
        )
        lines = shapely.union(sewn, shapely.LinearRing(p.outline))
        for w in p.words:
            white = shapely.Polygon(w.corners).buffer(0.12 * w.size, join_style="mitre")
            assert not (w.halo and white.intersects(lines)), (p.title, w.text)
            assert not shapely.Polygon(w.corners).intersects(lines), (p.title, w.text)
        narrow += len(p.words) > 1 and p.words[0].size < LETTER
        assert name_of(p.template).split()[0] in " ".join(w.text for w in p.words), p.title
    assert narrow
