"""Title blocks, maps and labels: nothing runs into its neighbour, nothing is cut by a page."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from pypdf import PdfReader

from pinwright.sheets.drawn import Drawn, Heading
from pinwright.sheets.ink import Drawing, Stroke, Words, bounds
from pinwright.sheets.legend import COLUMN, line_key, title_block
from pinwright.sheets.lettering import width_of, wrapped
from pinwright.sheets.pdf import large_sheet
from pinwright.sheets.picture import picture
from pinwright.sheets.recut import recut_drawing, recut_pieces
from pinwright.sheets.tilemap import map_bands, map_cell, map_head
from pinwright.sheets.tiles import relabelled, tiled_sheet
from pinwright.sheets.tiling import page_ends, tiling
from tests.sheets.orders import HEADING, pieces

LONG = replace(
    HEADING,
    client="Wilhelmina Alexandra Constantia Featherstonehaugh-Cholmondeley van der Meersche",
    estimated=tuple(f"measure number {k}" for k in range(20)),
)


def boxes(marks: Drawing) -> list[shapely.Polygon]:
    return [shapely.Polygon(m.corners) for m in marks if isinstance(m, Words)]


def apart(found: list[shapely.Polygon]) -> bool:
    return not any(
        a.buffer(-0.02).intersects(b.buffer(-0.02)) for k, a in enumerate(found) for b in found[:k]
    )


@pytest.mark.parametrize("heading", [HEADING, LONG])
def test_a_long_name_stays_clear_of_the_key_of_lines(heading: Heading) -> None:
    marks, width, height = title_block(heading)
    x0, y0, x1, y1 = bounds(marks)
    assert (x0, y0) >= (0.0, -0.01)
    assert (x1, y1) <= (width, height + 0.01)
    assert apart(boxes(marks))
    words = {m.text: m for m in marks if isinstance(m, Words)}
    left = [m for m in words.values() if m.at[0] == 0.0]
    said = "".join(m.text for m in left).replace(" ", "")
    assert said.startswith(heading.client.replace(" ", ""))
    assert not any(m.text[-11:] == "Cholmondele" for m in left), "a name breaks at its hyphen"
    assert max(m.corners[:, 0].max() for m in left) <= COLUMN


def test_a_word_wider_than_its_column_is_cut() -> None:
    rows = wrapped("Llanfairpwllgwyngyllgogerychwyrndrobwllllantysiliogogogoch", 1.0, 9.0)
    assert len(rows) > 2
    assert all(width_of(r, 1.0) <= 9.0 for r in rows)
    assert "".join(rows).endswith("gogogoch")


@pytest.mark.parametrize("amount", ["26 3/8 in", "3/8 in", "110.5 cm", "142 lb", "0.5 %"])
def test_an_amount_is_not_broken_over_two_lines(amount: str) -> None:
    text = f"The mark lies {amount} over the floor, ({amount}), and {amount} further, {amount}."
    whole = False
    for width in np.arange(7.0, 24.0, 0.1):
        rows = wrapped(text, 1.0, float(width))
        assert " ".join(rows) == text
        assert sum(row.count(amount) for row in rows) == 4, (width, rows)
        whole |= len(rows) > 2
    assert whole
    # where it has no room it is broken as other words are
    assert wrapped(f"x {amount}", 1.0, width_of(amount, 1.0) - 0.1)[-1] != amount


def test_the_grain_sample_has_arrow_heads() -> None:
    heads = [m for m in line_key(0, 0) if isinstance(m, Stroke) and m.closed and m.fill == 0.0]
    tips = sorted(float(m.chains[0][1, 0]) for m in heads)
    assert tips == pytest.approx([0.0, 3.0])


def test_estimates_are_named_in_both_sheets(tmp_path: Path) -> None:
    heading = replace(HEADING, estimated=("waist to knee", "thigh girth"))
    for path in (
        large_sheet(tmp_path / "a.pdf", pieces("trousers"), heading),
        tiled_sheet(tmp_path / "b.pdf", pieces("trousers"), heading),
    ):
        text = PdfReader(path).pages[0].extract_text()
        assert "Estimated, not taped: waist to knee, thigh girth." in text
    page = PdfReader(large_sheet(tmp_path / "c.pdf", pieces("trousers"), HEADING)).pages[0]
    assert "Estimated" not in page.extract_text()


@pytest.mark.parametrize("name", ["trousers", "jacket"])
@pytest.mark.parametrize("heading", [HEADING, LONG])
def test_the_map_can_be_read(name: str, heading: Heading) -> None:
    t = tiling([picture(d) for d in pieces(name)], "a4")
    head, room = map_head(t, heading, 19.0, 27.7, "pieces")
    assert apart(boxes(head))
    x0, y0, x1, y1 = bounds(head)
    assert x0 >= -0.01
    assert x1 <= 19.01
    assert y1 <= 27.71
    assert y0 >= room
    bands, scale = map_bands(t, 19.0, room)
    cells = [m for tile in t.tiles for m in map_cell(t, tile, scale)]
    assert apart(boxes(tuple(cells)))
    assert [m.text for m in cells if isinstance(m, Words)] == [tile.name for tile in t.tiles]
    for m in cells:
        if isinstance(m, Words):
            assert m.size * scale >= 0.25, "a letter under 2.5 mm cannot be read"
    # bands make it no smaller than it would be in one piece
    one = min(19.0 / (t.columns * t.window[0]), room / (t.rows * t.window[1]))
    assert scale >= one - 1e-9
    assert bands >= 1


def whole_on_a_page(drawing: Drawing, windows: list[shapely.Polygon]) -> bool:
    label = shapely.union_all(_label_boxes(drawing))
    return any(w.buffer(1e-6).covers(label) for w in windows)


def _label_boxes(drawing: Drawing) -> list[shapely.Polygon]:
    return [
        shapely.Polygon(m.corners) for m in drawing if isinstance(m, Words) and m.role == "label"
    ]


@pytest.mark.parametrize("name", ["trousers", "jacket"])
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_one_page_carries_the_whole_title(name: str, paper: str) -> None:
    shown = pieces(name)
    before = tiling([picture(d) for d in shown], paper)  # type: ignore[arg-type]
    after = relabelled(before, shown)
    w, h = after.window
    windows = [shapely.box(x.left, x.bottom, x.left + w, x.bottom + h) for x in after.tiles]
    cut = [not whole_on_a_page(d, windows) for d in before.page.drawings]
    assert any(cut), "without care a page would cut a title"
    for drawing in after.page.drawings:
        assert whole_on_a_page(drawing, windows)


def test_titles_of_changed_pieces_keep_clear_of_what_is_hatched() -> None:
    shown = recut_pieces(pieces("trousers"))
    t = tiling([recut_drawing(d, HEADING)[0] for d in shown], "a4")
    ends = shapely.union_all(page_ends(t))
    after = relabelled(t, shown)
    free = [not any(b.intersects(ends) for b in _label_boxes(d)) for d in after.page.drawings]
    assert all(free)


def big_name(d: Drawn) -> Words:
    return next(m for m in picture(d) if isinstance(m, Words) and d.labels[0] in m.text)


@pytest.mark.parametrize("name", ["fly_shield", "fly_facing", "pocket_bearer", "band"])
def test_narrow_pieces_carry_their_name_large_and_along(name: str) -> None:
    (d,) = [d for d in pieces("trousers", False) if d.piece.name == name]
    words = big_name(d)
    assert words.size >= 0.6
    box = shapely.get_coordinates(shapely.oriented_envelope(shapely.Polygon(d.cut_line)))
    sides = np.diff(box[:3], axis=0)
    x, y = sides[int(np.argmax(np.hypot(*sides.T)))]
    along = float(np.degrees(np.arctan2(y, x)))
    off = abs((words.angle - along + 90.0) % 180.0 - 90.0)
    assert off < 15.0
    assert shapely.Polygon(d.cut_line).covers(shapely.Polygon(words.corners))
