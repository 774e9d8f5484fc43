"""The DXF file, read back by ezdxf and measured against the pieces and the JSON export."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from ezdxf.filemanagement import readfile
from ezdxf.lldxf.encoding import decode_dxf_unicode

from pinwright.draft import style
from pinwright.errors import OrderError
from pinwright.fitting.ledger import fit
from pinwright.sheets.drawn import Drawn, Heading, drawn
from pinwright.sheets.dxf import block_name, quantity, write_dxf
from pinwright.sheets.dxf_layers import LAYERS
from pinwright.sheets.export import exported
from tests.cutting.skirt import skirt
from tests.sheets.orders import HEADING, fitted, pieces

Pts = list[tuple[float, float]]


def read(path: Path) -> Any:
    doc = readfile(path)
    assert not doc.audit().errors
    return doc


def lines(block: Any, layer: str) -> list[tuple[Pts, bool]]:
    found = []
    for e in block.query(f'POLYLINE[layer=="{layer}"]'):
        found.append(([(v.dxf.location.x, v.dxf.location.y) for v in e.vertices], e.is_closed))
    return found


def dots(block: Any, layer: str) -> Pts:
    return [(e.dxf.location.x, e.dxf.location.y) for e in block.query(f'POINT[layer=="{layer}"]')]


def words(block: Any, layer: str) -> list[str]:
    return [e.dxf.text for e in block.query(f'TEXT[layer=="{layer}"]')]


def flipped(points: Any, d: Drawn) -> Any:
    return np.asarray(points) * [-1.0 if d.mirror else 1.0, 1.0]


@pytest.mark.parametrize("name", ["trousers", "jacket"])
@pytest.mark.parametrize(("unit", "scale"), [("cm", 1.0), ("mm", 10.0), ("in", 1 / 2.54)])
def test_every_piece_comes_back_with_its_lengths_and_areas(
    tmp_path: Path, name: str, unit: str, scale: float
) -> None:
    own = pieces(name)
    doc = read(write_dxf(tmp_path / "p.dxf", own, HEADING, unit))  # type: ignore[arg-type]
    data = {(p["name"], p["side"]): p for p in exported(fitted(name), style(name).derive)["pieces"]}
    assert len(data) == len(own)
    for d in own:
        block = doc.blocks[block_name(d)]
        json = data[d.piece.name, d.side]
        for layer, want in (("1", json["cut_line"]), ("14", json["net"])):
            ((points, closed),) = lines(block, layer)
            ring = shapely.Polygon(np.array(points) / scale)
            wanted = shapely.Polygon(flipped(want, d))
            assert closed == (layer == "1" or d.piece.cut != "fold")
            assert ring.hausdorff_distance(wanted) < 0.01
            assert ring.length == pytest.approx(wanted.length, abs=0.01)
            # an area may be out by what 0.01 cm along its outline holds, and is far nearer
            assert ring.area == pytest.approx(wanted.area, abs=0.001 * wanted.length)


def test_units_stand_in_the_header_and_in_words(tmp_path: Path) -> None:
    for unit, code, word in (("cm", 5, "centimetres"), ("mm", 4, "millimetres")):
        doc = read(write_dxf(tmp_path / "u.dxf", pieces("trousers"), HEADING, unit))  # type: ignore[arg-type]
        assert doc.header["$INSUNITS"] == code
        assert doc.header["$MEASUREMENT"] == 1
        assert any(word in t for t in words(doc.modelspace(), "15"))
    assert doc.header["$INSUNITS"] == 4
    old = write_dxf(tmp_path / "r12.dxf", pieces("trousers"), HEADING, "cm", "R12")
    assert b"AC1009" in old.read_bytes()
    assert any("centimetres" in t for t in words(read(old).modelspace(), "15"))


def test_names_beyond_latin_letters_come_back(tmp_path: Path) -> None:
    head = Heading("Ingrid Ångström-Løv Ωmega", "7", "trousers", "first", "4 March 2026")
    doc = read(write_dxf(tmp_path / "n.dxf", pieces("trousers")[:1], head))
    said = [decode_dxf_unicode(t) for t in words(doc.modelspace(), "15")]
    assert any("Ingrid Ångström-Løv Ωmega" in t for t in said)


def test_each_block_is_inserted_once_and_no_two_overlap(tmp_path: Path) -> None:
    own = pieces("jacket")
    doc = read(write_dxf(tmp_path / "i.dxf", own, HEADING))
    inserts = list(doc.modelspace().query("INSERT"))
    assert sorted(i.dxf.name for i in inserts) == sorted(block_name(d) for d in own)
    spans = []
    for i in inserts:
        ((points, _),) = lines(doc.blocks[i.dxf.name], "1")
        xs = [x + i.dxf.insert.x for x, _ in points]
        spans.append((min(xs), max(xs)))
    spans.sort()
    assert all(a[1] < b[0] for a, b in pairwise(spans))


def test_the_other_hand_is_the_mirror_image_of_its_data(tmp_path: Path) -> None:
    own = {d.side: d for d in pieces("trousers") if d.piece.name == "front"}
    assert set(own) == {"right", "left"}
    doc = read(write_dxf(tmp_path / "h.dxf", tuple(own.values()), HEADING))
    for side, d in own.items():
        ((points, _),) = lines(doc.blocks[f"front-{side}"], "1")
        assert "Quantity: 1" in words(doc.blocks[f"front-{side}"], "1")
        centre = flipped([d.piece.point("waist_centre")], d)[0][0]
        outer = flipped([d.piece.point("waist_side")], d)[0][0]
        # seen from the right side the left front has its centre at the left
        assert (centre < outer) == (side == "left")
        assert min(x for x, _ in points) < min(centre, outer)


def test_pairs_folds_and_counts_are_told(tmp_path: Path) -> None:
    garment = skirt("fold")
    own = drawn(fit(garment, ()), HEADING)
    doc = read(write_dxf(tmp_path / "f.dxf", own, HEADING))
    by = {d.piece.name: d for d in own}
    front = doc.blocks["front"]
    assert quantity(by["front"]) == 1
    assert quantity(by["sleeve"]) == 2
    (fold,) = front.query('LINE[layer=="6"]')
    ends = sorted([fold.dxf.start.y, fold.dxf.end.y])
    assert ends == pytest.approx([0.0, 60.0])
    ((net, closed),) = lines(front, "14")
    assert not closed
    assert sorted([net[0][1], net[-1][1]]) == pytest.approx([0.0, 60.0])
    # the line that is sewn and the fold together are the whole net line
    whole = shapely.LineString(net).length + 60.0
    assert whole == pytest.approx(sum(p.length for p in by["front"].piece.outline()), abs=0.01)
    assert "Quantity: 2" in words(doc.blocks["sleeve"], "1")
    assert not list(doc.blocks["sleeve"].query('LINE[layer=="6"]'))


def test_notches_lie_on_the_cut_line_and_beside_their_stations(tmp_path: Path) -> None:
    own = drawn(fit(skirt(), ()), HEADING)
    doc = read(write_dxf(tmp_path / "m.dxf", own, HEADING))
    for d in own:
        block = doc.blocks[block_name(d)]
        found = dots(block, "4")
        wanted = [n for n in d.notches if n.count and not n.thread]
        assert len(found) == sum(n.count for n in wanted)
        ring = shapely.LineString(d.cut_line)
        for at in found:
            assert ring.distance(shapely.Point(at)) < 1e-6
        for n in wanted:
            near = min(np.hypot(*(np.array(at) - n.at)) for at in found)
            assert near <= np.hypot(n.reach, 0.25) + 0.05
    # the hip notches of front and back stand in reserve: thread marks them, nothing is cut
    crosses = doc.blocks["front"].query('LINE[layer=="8"]')
    at_hip = [e for e in crosses if abs((e.dxf.start.y + e.dxf.end.y) / 2 - 40.0) < 1e-6]
    assert len(at_hip) == 2


def test_turn_and_curve_points_are_all_the_vertices(tmp_path: Path) -> None:
    d = next(d for d in pieces("trousers") if d.piece.name == "back" and d.side != "left")
    block = read(write_dxf(tmp_path / "t.dxf", [d], HEADING)).blocks[block_name(d)]
    ((points, _),) = lines(block, "1")
    turns, curved = dots(block, "2"), dots(block, "3")
    assert len(turns) + len(curved) == len(points)
    # waist, side, hem, inseam, seat: five corners at the least, and a handful more at the hem
    assert 5 <= len(turns) <= 14
    assert len(curved) > len(turns)


def test_marks_are_drilled_only_where_the_workshop_drills(tmp_path: Path) -> None:
    own = drawn(fit(skirt(), ()), HEADING)
    thread = read(write_dxf(tmp_path / "a.dxf", own, HEADING)).blocks["front"]
    drill = read(write_dxf(tmp_path / "b.dxf", own, HEADING, points="drill")).blocks["front"]
    assert dots(thread, "13") == []
    # 1 cm inside the point of the dart, towards the middle of its mouth; the end of the opening
    # would show a hole and keeps its thread
    (hole,) = dots(drill, "13")
    a, b = (np.asarray(x) for x in skirt().piece("front").mouth("front dart"))
    apex = np.array([10.6, 49.0])
    way = (a + b) / 2 - apex
    assert np.allclose(hole, apex + way / np.hypot(*way), atol=0.02)
    assert dots(drill, "11") == []


def test_grain_and_references_lie_on_their_layers(tmp_path: Path) -> None:
    own = drawn(fit(skirt(), ()), HEADING)
    at = {"front": {"stripe": np.array([3.0, 40.0]), "plaid": np.array([4.0, 41.0])}}
    doc = read(write_dxf(tmp_path / "g.dxf", own, HEADING, references=at))
    (grain,) = doc.blocks["front"].query('LINE[layer=="7"]')
    assert (grain.dxf.start.x, grain.dxf.start.y) == (5.0, 12.0)
    assert (grain.dxf.end.x, grain.dxf.end.y) == (5.0, 45.0)
    assert dots(doc.blocks["front"], "9") == [(3.0, 40.0)]
    assert dots(doc.blocks["front"], "10") == [(4.0, 41.0)]
    used = {e.dxf.layer for b in doc.blocks if not b.name.startswith("*") for e in b}
    assert used <= set(LAYERS)


@pytest.mark.parametrize(("unit", "scale"), [("cm", 1.0), ("mm", 10.0)])
def test_lines_of_the_cloth_lie_on_their_layer(tmp_path: Path, unit: str, scale: float) -> None:
    own = {block_name(d): d for d in pieces("trousers") if d.piece.name == "front"}
    assert {d.mirror for d in own.values()} == {True, False}
    ends = np.array([[[1.0, 20.0], [9.0, 20.0]], [[2.0, 5.0], [2.0, 30.0]]])
    said = {"front-right": {"plaid": ends}, "front-left": {"stripe": ends[:1]}}
    path = write_dxf(tmp_path / "l.dxf", tuple(own.values()), HEADING, unit, references=said)  # type: ignore[arg-type]
    doc = read(path)
    for name, layer, want in (("front-right", "10", ends), ("front-left", "9", ends[:1])):
        found = [
            [e.dxf.start.vec2, e.dxf.end.vec2]
            for e in doc.blocks[name].query(f'LINE[layer=="{layer}"]')
        ]
        # drawn as it lies with its right side up, like the rest of the piece
        assert np.allclose(found, scale * flipped(want, own[name]))
    assert not doc.blocks["front-left"].query('*[layer=="10"]')
    assert any("Layers 9 and 10" in t for t in words(doc.modelspace(), "15"))
    plain = read(write_dxf(tmp_path / "p.dxf", tuple(own.values()), HEADING))
    assert not any("Layers 9 and 10" in t for t in words(plain.modelspace(), "15"))


def test_bad_calls_are_refused_in_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(OrderError, match="unit of a DXF file is 'ell'; it may be cm, mm, in"):
        write_dxf(tmp_path / "x.dxf", pieces("trousers"), HEADING, "ell")  # type: ignore[arg-type]
    with pytest.raises(OrderError, match="no piece"):
        write_dxf(tmp_path / "x.dxf", (), HEADING)
    with pytest.raises(OrderError, match="R2000 or R12"):
        write_dxf(tmp_path / "x.dxf", pieces("trousers"), HEADING, "cm", "R9")  # type: ignore[arg-type]
    with pytest.raises(OSError, match="No such file"):
        write_dxf(tmp_path / "no" / "x.dxf", pieces("trousers"), HEADING)
    assert list(tmp_path.iterdir()) == []


def test_the_page_names_every_layer_and_claims_no_conformance() -> None:
    page = (Path(__file__).parents[2] / "docs" / "dxf.md").read_text()
    for number in LAYERS:
        assert f"| {number} |" in page
    assert "no conformance is claimed" in page
