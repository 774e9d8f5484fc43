"""The recut sheet: distances, areas to trim and reserve used, worked by hand on a plain block."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from pypdf import PdfReader

from pinwright.cutting.cloth import cloth_as_cut, trim
from pinwright.cutting.cutline import cut_line
from pinwright.draft import style
from pinwright.fitting.ledger import fit
from pinwright.geometry import path as paths
from pinwright.pattern.piece import Piece, edge
from pinwright.sheets.callouts import callouts, set_out
from pinwright.sheets.changes import (
    Shift,
    changed,
    marked,
    notch_moves,
    only_moved,
    regions,
    shifts,
)
from pinwright.sheets.drawn import Drawn, drawn
from pinwright.sheets.ink import HAIR, Drawing, Stroke, Words, hatched, line
from pinwright.sheets.picture import OPENING_DASH, inside, picture
from pinwright.sheets.recut import (
    called,
    cut_anew,
    piece_drawing,
    recut_drawing,
    recut_pieces,
    recut_sheet,
    recut_tiles,
)
from pinwright.sheets.recut_key import letter
from pinwright.sheets.tiling import EDGE, OVERLAP, PAPERS, tiling
from pinwright.sheets.words import FittingWords, Undone
from tests.cutting.test_reserve import block
from tests.sheets.orders import HEADING, correction, garment, off_its_fold, pieces
from tests.sheets.page_points import read

WORDS = FittingWords(
    ((2, "side seam R: a fold of 1 pinned"), (5, "hem L up 1.5")),
    (("Trouser front, right", "side seam 1.0 in"), ("Trouser back, left", "hem 1.5 up")),
    ("waistband against the new waist", "crease in the middle of the leg"),
    (Undone("seat out 3.4: 0.8 of cloth is missing", ("pass the back up", "piece on a strip")),),
    ("pocket bag", "fly facing"),
)


def put(now: Piece, before: Piece, cloth: shapely.Polygon | None = None) -> Drawn:
    return Drawn(now, "both", "cut 1", cut_line(now), (), ("Front", "cloth"), before, cloth)


def told(found: tuple[Shift, ...]) -> dict[tuple[str, str], float]:
    return {(s.edge, s.name): s.out for s in found}


def test_distances_are_square_to_the_old_line() -> None:
    """Side 1.2 out, hem 2 down, waist 0.5 down: each corner tells both of its edges."""
    got = told(shifts(block(), block(right=21.2, bottom=-2.0, top=39.5)))
    assert got["side", "hem_s"] == pytest.approx(1.2)
    assert got["side", "waist_s"] == pytest.approx(1.2)
    assert got["hem", "hem_s"] == pytest.approx(2.0)
    assert got["hem", "hem_c"] == pytest.approx(2.0)
    assert got["waist", "waist_s"] == pytest.approx(-0.5)
    assert got["centre", "waist_c"] == pytest.approx(0.0)


def test_a_notch_that_slid_is_still_measured_at_its_old_place() -> None:
    """The side leans out 1 in 20 and its notch slid from 20 to 25 up: at the old notch, 20 up,
    the new line runs 1.0 out (and not the 1.25 of where the notch went), 5 along."""

    def leaning(lean: float, at: float) -> Piece:
        p = block()
        foot, notch, top = [(20.0 + lean * y, y) for y in (0.0, at, 40.0)]
        side = edge(
            "side",
            "hem_s",
            paths.Path.line(foot, notch),
            "hip",
            paths.Path.line(notch, top),
            "waist_s",
        )
        waist = edge("waist", "waist_s", paths.Path.line(top, (0.0, 40.0)), "waist_c")
        return p.with_edges((p.edges[0], side, waist, p.edges[3]))

    moves = shifts(leaning(0.0, 20.0), leaning(0.05, 25.0))
    hip = next(s for s in moves if s.name == "hip")
    assert hip.out == pytest.approx(1.0)
    assert hip.along == pytest.approx(5.0)
    assert hip.text() == "1.0 outwards, notch 5.0 along"


def test_distances_in_words() -> None:
    at = np.zeros(2)
    assert Shift("side", "hip", at, at, 1.2).text() == "1.2 outwards"
    assert Shift("side", "hip", at, at, -0.52).text() == "0.5 inwards"
    assert Shift("side", "hip", at, at, 0.01).text() == ""
    assert Shift("side", "hip", at, at, 0.0, 0.4).text() == "notch 0.4 along"
    assert Shift("side", "hip", at, at, 1.27).text("in") == '1/2" outwards'
    assert marked(2.54 * 1.25, "in") == '1 1/4"'


def test_what_is_taken_in_may_be_trimmed() -> None:
    """Taken in 1 at a side with 1 + 2: the cloth beyond the new cut line is 1 wide, 45 long."""
    (r,) = regions(put(block(right=19.0), block()))
    assert r.kind == "trim"
    assert r.most == pytest.approx(1.0, abs=0.01)
    assert r.area.area == pytest.approx(45.0, abs=0.1)
    assert r.area.bounds == pytest.approx((22.0, -4.0, 23.0, 41.0), abs=0.01)
    assert "side" in r.where
    assert r.text() == "trim the side: 1.0 cm at most; or keep it as reserve"


def test_what_is_let_out_uses_reserve() -> None:
    """Let out 1.5 of 3: the band between the old and the new net line is hatched."""
    (r,) = regions(put(block(right=21.5), block()))
    assert r.kind == "use"
    assert r.area.symmetric_difference(shapely.box(20, 0, 21.5, 40)).area < 0.01
    assert r.text() == "reserve used at the side: 1.5 cm at most"


def test_missing_cloth_is_said_loudly() -> None:
    cloth = trim(cloth_as_cut(block()), block(right=19.0), "side", 1.0)
    found = regions(put(block(right=20.5), block(right=19.0), cloth))
    lack = next(r for r in found if r.kind == "lack")
    assert lack.most == pytest.approx(1.1, abs=0.01)
    assert lack.text().startswith("CLOTH IS MISSING at the side")
    assert {r.kind for r in found} == {"use", "lack"}
    assert [r.number for r in found] == [1, 2]


def test_neighbouring_edges_are_numbered_apart() -> None:
    found = regions(put(block(right=21.0, bottom=-2.0), block()))
    assert sorted(r.where for r in found) == ["the hem", "the side"]
    widths = {r.where: r.most for r in found}
    assert widths["the hem"] == pytest.approx(2.0, abs=0.02)
    assert widths["the side"] == pytest.approx(1.0, abs=0.02)


def test_a_piece_as_drafted_has_nothing_to_recut() -> None:
    for name in ("trousers", "jacket"):
        assert recut_pieces(pieces(name, False)) == ()
        for d in pieces(name, False):
            assert regions(d) == ()
    assert not changed(put(block(), block()))
    assert changed(put(block(right=20.1), block()))


def test_only_what_is_cut_is_recut() -> None:
    titles = {d.title for d in recut_pieces(pieces("trousers"))}
    assert {"Trouser front, right", "Trouser back, left"} <= titles
    # the waistband is cut after the fitting: it is simply cut as it now is
    assert not any("band" in t for t in titles)
    later = replace(block(right=21.0), stage="after")
    assert recut_pieces([put(later, block())]) == ()
    assert recut_pieces([put(later, block(), cloth_as_cut(block()))]) != ()


def test_hatches_are_told_apart_without_colour() -> None:
    area = shapely.box(0, 0, 10, 4)
    for angle in (45.0, -45.0, 0.0):
        stroke = hatched(area, angle, 0.5)
        assert stroke is not None
        for chain in stroke.chains:
            assert area.buffer(1e-6).covers(shapely.LineString(chain))
            leg = chain[-1] - chain[0]
            turn = np.degrees(np.arctan2(leg[1], leg[0])) % 180
            assert turn == pytest.approx(angle % 180, abs=1e-6)
        # lines half a centimetre apart: their length times the gap is the area
        total = sum(float(np.hypot(*(c[-1] - c[0]))) for c in stroke.chains)
        assert total * 0.5 == pytest.approx(area.area, rel=0.15)
    assert hatched(shapely.Polygon(), 45.0, 0.5) is None


def test_the_drawing_tells_every_distance_and_letter() -> None:
    now, before = block(right=21.2, bottom=-2.0), block()
    drawing, following = recut_drawing(put(now, before), HEADING, 5)
    texts = [m.text for m in drawing if isinstance(m, Words)]
    assert texts.count("1.2 outwards") == 2
    assert texts.count("2.0 outwards") == 2
    assert following == 7
    # each letter stands on the piece and in the key
    assert texts.count("e") == 2
    assert texts.count("f") == 2
    roles = {m.role for m in drawing}
    assert {"cloth", "net line", "use"} <= roles


def test_hatches_slant_the_same_way_on_mirrored_pieces() -> None:
    now, before = block(right=19.0), block()
    for mirror in (False, True):
        drawing, _ = recut_drawing(replace(put(now, before), mirror=mirror), HEADING)
        slants = {
            round(float(np.degrees(np.arctan2(*(c[-1] - c[0])[::-1]))) % 180)
            for m in drawing
            if m.role == "trim" and not isinstance(m, Words)
            for c in m.chains
        }
        assert slants == {45}


def test_distances_stand_clear_of_the_cloth() -> None:
    cloth = cloth_as_cut(block())
    drawing, _ = recut_drawing(put(block(right=21.2, bottom=-2.0), block()), HEADING)
    for m in drawing:
        if isinstance(m, Words) and m.text.endswith(" outwards"):
            assert not shapely.Polygon(m.corners).intersects(cloth)


@pytest.mark.parametrize("name", ["trousers", "jacket"])
def test_the_recut_sheet(tmp_path: Path, name: str) -> None:
    path = recut_sheet(tmp_path / "recut.pdf", pieces(name), HEADING, WORDS)
    reader = PdfReader(path)
    drawn = recut_pieces(pieces(name))
    assert len(reader.pages) == 1 + len(drawn)
    for k, page in enumerate(reader.pages, 1):
        assert f"page {k} of {len(reader.pages)}" in page.extract_text()
    first = reader.pages[0].extract_text().replace(".  ", ". ")
    noted = [f"{k}. {text}" for k, text in WORDS.pinned]
    for text in (*noted, *WORDS.check_next, WORDS.not_done[0].text, "side seam 1.0 in"):
        assert text in first
    for text in ("1) pass the back up", "2) piece on a strip", "pocket bag, fly facing"):
        assert text in first
    assert "Caution" in first
    assert "Follow local rules" in first.replace("\n", " ")
    for d, page in zip(drawn, reader.pages[1:], strict=True):
        text = page.extract_text()
        assert d.title in text
        assert "new net line" in text
        got = read(page)
        assert not got.colours
        assert len(got.dashes) >= 2
        flip = [-1.0, 1.0] if d.mirror else [1.0, 1.0]
        assert d.before is not None
        ring = np.asarray(cloth_as_cut(d.before).exterior.coords)
        ring = off_its_fold(d.before, ring) * flip
        assert any(
            len(p) == len(ring) and np.abs((p - p[0]) - (ring - ring[0])).max() < 1e-3
            for p in got.paths
        )


def test_a_long_fitting_runs_over_pages(tmp_path: Path) -> None:
    words = FittingWords(
        tuple((k, f"note {k}: hem up {k / 10:.1f}, read with the pins in") for k in range(1, 60)),
        tuple((f"Piece {k}", "its hem moved " * 12) for k in range(30)),
        ("everything",),
    )
    path = recut_sheet(tmp_path / "r.pdf", pieces("jacket", False), HEADING, words)
    reader = PdfReader(path)
    assert len(reader.pages) >= 3
    text = "\n".join(p.extract_text() for p in reader.pages)
    assert all(f"note {k}:" in text for k in range(1, 60))
    assert all(f"Piece {k}" in text for k in range(30))
    assert "everything" in text


def test_changed_pieces_on_joined_pages(tmp_path: Path) -> None:
    path = recut_tiles(tmp_path / "t.pdf", pieces("jacket"), HEADING, "letter")
    assert path is not None
    assert len(PdfReader(path).pages) > 6
    assert recut_tiles(tmp_path / "n.pdf", pieces("jacket", False), HEADING) is None


def test_what_follows_by_rule_is_cut_anew_and_never_missing() -> None:
    """A bag that grew by 2 all round lies on no cut cloth: it is cut anew, not hatched."""
    bag = replace(block(right=22.0, bottom=-2.0), follows="front")
    d = put(bag, replace(block(), follows="front"))
    assert recut_pieces([d]) == ()
    assert cut_anew([d]) == (d,)
    same = put(block(), block())
    assert cut_anew([same]) == ()
    changed_titles = {x.title for x in cut_anew(pieces("trousers"))}
    assert "Waistband" in changed_titles or "Pocket bag, right" in changed_titles


def texts(drawing: Drawing) -> list[str]:
    return [m.text for m in drawing if isinstance(m, Words)]


def test_the_cover_of_joined_pages_says_what_the_recut_lines_mean(tmp_path: Path) -> None:
    path = recut_tiles(tmp_path / "t.pdf", pieces("trousers"), HEADING)
    assert path is not None
    pages = [p.extract_text() for p in PdfReader(path).pages]
    for text in ("new net line", "old net line, as drafted", "cloth as it was cut", "trim away"):
        assert text in pages[0]
        # it stands there once, and on none of the pages that are joined
        assert sum(text in p for p in pages) == 1
    assert "cut line: cut here" not in pages[0]
    assert "What the letters on the pieces mean" in pages[1]
    assert "Trouser front, right" in pages[1]


def turned_sleeve() -> tuple[Drawn, ...]:
    kept = fit(garment("jacket"), (correction("sleeve_pitch", "sleeve", 0.5, "right"),))
    return drawn(kept, HEADING, style("jacket").derive)


def test_the_marks_of_a_turned_sleeve_are_drawn_and_told() -> None:
    """Each mark of the right cap slides by 0.5, as the correction says, and no line moves."""
    found = {d.title: d for d in turned_sleeve()}
    right = found["Sleeve, right"]
    assert not changed(found["Sleeve, left"])
    assert right in recut_pieces(tuple(found.values()))
    slid = notch_moves(right)
    assert len(slid) == 3
    assert all(abs(along) == pytest.approx(0.5, abs=0.01) for _, _, along in slid)
    drawing, _ = recut_drawing(right, HEADING)
    said = texts(drawing)
    assert said.count("notch 0.5 along") == 3
    assert "new notch: side seam" in said
    assert "Notches at the cap: slid along it, 0.5 at most" in said
    broken = [m for m in drawing if isinstance(m, Stroke) and m.role == "notch" and m.dash]
    for old, _, _ in slid:
        assert any(np.hypot(*(m.chains[0].mean(axis=0) - old.at)) < 0.3 for m in broken)


def lowered_pocket() -> Drawn:
    kept = fit(garment("trousers"), (correction("pocket_opening", "side_pocket", 1.0),))
    return next(d for d in drawn(kept, HEADING) if d.piece.name == "front")


def test_a_pocket_opening_has_its_ends_its_name_and_its_old_place() -> None:
    d = lowered_pocket()
    assert d.before is not None
    drawing, _ = recut_drawing(d, HEADING)
    strokes = [m for m in drawing if isinstance(m, Stroke) and m.role == "opening"]
    for piece, old in ((d.piece, False), (d.before, True)):
        item = next(x for x in piece.lines if x.kind == "opening")
        mine = [m for m in strokes if (m.weight == HAIR) == old]
        assert len(mine) == 3, "a line and a bar at each end"
        flip = np.array([-1.0 if d.mirror else 1.0, 1.0])
        for at in (item.path.start * flip, item.path.end * flip):
            bars = [m for m in mine if shapely.LineString(m.chains[0]).distance(
                shapely.Point(at)) < 1e-6]  # fmt: skip
            assert len(bars) == 1
    said = texts(drawing)
    assert "pocket opening" in said
    assert "pocket opening: 1.0 lower" in said
    assert "Pocket opening: lower end 1.0 lower, 1.0 longer" in said
    lines = {m.dash for m in picture(d) if isinstance(m, Stroke) and m.role == "cut line"}
    assert OPENING_DASH not in lines
    assert any(m.dash == OPENING_DASH for m in picture(d) if isinstance(m, Stroke))


def test_areas_have_letters_and_none_that_is_a_side_or_a_figure() -> None:
    assert [letter(k) for k in (1, 2, 8, 9, 12, 13)] == ["a", "b", "h", "j", "n", "p"]
    assert letter(23) == "z"
    assert letter(24) == "aa"
    assert letter(23 + 23 * 23 + 1) == "aaa"


def test_a_pocket_that_only_lies_lower_is_not_cut_anew() -> None:
    """The patch pocket follows its lines on the front: set 1.5 lower it is the same piece."""
    kept = fit(garment("jacket"), (correction("pocket_move", "patch_pocket", 1.5),))
    found = drawn(kept, HEADING, style("jacket").derive)
    pocket = next(d for d in found if d.piece.name == "patch_pocket")
    assert pocket.before is not None
    assert pocket.piece.edges[0].first[1] == pytest.approx(pocket.before.edges[0].first[1] - 1.5)
    assert pocket not in cut_anew(found)
    assert only_moved(pocket.before, pocket.piece)
    assert not only_moved(block(), block(right=21.0))


def test_no_leader_runs_through_words() -> None:
    for name in ("trousers", "jacket"):
        for d in recut_pieces(pieces(name)):
            marks, boxes = set_out(callouts(d, "cm"), d.cloth or cloth_as_cut(d.before or d.piece))
            leaders = [shapely.LineString(m.chains[0]) for m in marks
                       if isinstance(m, Stroke) and m.weight == HAIR]  # fmt: skip
            words = [shapely.Polygon(m.corners) for m in marks if isinstance(m, Words)]
            assert len(words) == len(boxes)
            assert not any(leader.intersects(w) for leader in leaders for w in words), d.title


def test_no_page_shows_only_what_its_neighbours_show_too() -> None:
    """A sheet of two pages by one; its mark in the overlap needs no third page below it."""
    w, h = (side - 2 * EDGE for side in PAPERS["a4"])
    wide = 2 * w - OVERLAP
    tall = h + 0.5 * OVERLAP
    frame = line((0.0, 0.0), (wide, 0.0), (wide, h), (0.0, h), (0.0, 0.0))
    foot = line((3.0, -0.5 * OVERLAP), (3.0, 0.0))
    t = tiling([(frame, foot)], "a4")
    assert t.page.height >= tall - 1e-9
    shown = shapely.union_all([shapely.box(x.left, x.bottom, x.left + w, x.bottom + h)
                               for x in t.tiles])  # fmt: skip
    lines = [shapely.LineString(m.chains[0]) for d in t.page.drawings for m in d
             if isinstance(m, Stroke)]  # fmt: skip
    assert all(shown.buffer(1e-6).covers(g) for g in lines)
    for x in t.tiles:
        window = shapely.box(x.left, x.bottom, x.left + w, x.bottom + h)
        others = shapely.union_all([shapely.box(y.left, y.bottom, y.left + w, y.bottom + h)
                                    for y in t.tiles if y != x])  # fmt: skip
        alone = window.difference(others.buffer(1e-3))
        assert any(alone.intersects(g) for g in lines)


@pytest.mark.parametrize("name", ["trousers", "jacket"])
def test_distances_stand_whole_on_a_joined_page(name: str) -> None:
    shown = [(d, regions(d)) for d in recut_pieces(pieces(name))]
    bare = tiling([piece_drawing(d, found) for d, found in shown], "a4")
    t, _ = called(bare, shown, HEADING)
    w, h = t.window
    windows = [shapely.box(x.left, x.bottom, x.left + w, x.bottom + h) for x in t.tiles]
    said = [m for d in t.page.drawings for m in d
            if isinstance(m, Words) and m.text.endswith(("wards", "along"))]  # fmt: skip
    assert len(said) > 8
    for m in said:
        box = shapely.Polygon(m.corners)
        assert any(x.buffer(1e-6).covers(box) for x in windows), m.text


def test_names_of_lines_keep_clear_of_marks() -> None:
    """The jacket's buttons stand on its centre front: its name stands between them."""
    front = next(d for d in pieces("jacket", False) if d.piece.name == "front")
    marks = inside(front.piece)
    (name,) = [m for m in marks if isinstance(m, Words) and m.text == "centre front"]
    box = shapely.Polygon(name.corners)
    buttons = [m.at for m in front.piece.marks]
    assert buttons
    assert all(box.distance(shapely.Point(at)) > 0.25 for at in buttons)
