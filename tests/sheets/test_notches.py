"""Notches placed by walking, measured again by shapely on dense polylines."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import shapely
from ezdxf.filemanagement import readfile

from pinwright.draft import style
from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import Half, as_drafted, fit, settle
from pinwright.measures import complete, read_record
from pinwright.pattern.piece import Piece
from pinwright.sheets.drawn import drawn
from pinwright.sheets.dxf import block_name, write_dxf
from pinwright.sheets.export import exported
from pinwright.sheets.notches import NotchMark, notches
from pinwright.sheets.picture import picture
from pinwright.workshop.lay_files import insides
from pinwright.workshop.stock import stocks
from tests.cutting.skirt import skirt
from tests.sheets.orders import HEADING, MEASURES, fitted
from tests.web.pages import demo_job


def dense(piece: Piece, edge: str) -> shapely.LineString:
    return shapely.LineString(np.concatenate([r.flatten(1e-5) for r in piece.edge(edge).runs]))


def marks(half: Half, piece: str) -> dict[str, NotchMark]:
    return {m.name: m for m in notches(half)[piece]}


def along(half: Half, piece: str, edge: str, name: str) -> float:
    mark = next(m for m in notches(half)[piece] if m.name == name and m.edge == edge)
    line = dense(half.piece(piece), edge)
    assert line.distance(shapely.Point(mark.at)) < 1e-4
    return float(line.project(shapely.Point(mark.at)))


def test_side_a_keeps_its_station_and_b_is_walked_from_the_anchor() -> None:
    half = as_drafted(skirt())
    front, back = dense(half.piece("front"), "side"), dense(half.piece("back"), "side")
    a = along(half, "front", "side", "hip")
    station = half.piece("front").point("side:hip")
    assert a == pytest.approx(front.project(shapely.Point(station)), abs=1e-4)
    # anchored at the waist, the end: what is left of a is what is left of b
    b = along(half, "back", "side", "hip")
    assert front.length - a == pytest.approx(back.length - b, abs=1e-4)


def test_below_its_notches_the_cap_measures_what_the_armhole_measures() -> None:
    half = as_drafted(skirt())
    cap = dense(half.piece("sleeve"), "cap")
    # the body's armholes are straight: 7 to the front notch, 8 from the back notch
    assert along(half, "sleeve", "cap", "front_notch") == pytest.approx(7.0, abs=1e-4)
    assert cap.length - along(half, "sleeve", "cap", "back_notch") == pytest.approx(8.0, abs=1e-4)
    assert marks(half, "sleeve")["shoulder"].at == pytest.approx([0.0, 33.0])
    assert marks(half, "sleeve")["back_notch"].count == 2


@pytest.mark.parametrize("side", ["right", "left"])
def test_trouser_seams_meet_notch_to_notch_after_a_fitting(side: str) -> None:
    half = fitted("trousers").half(side)  # type: ignore[arg-type]
    for seam in half.garment.seams:
        if seam.mirror or seam.name not in ("side", "inseam"):
            continue
        (a,), (b,) = seam.a, seam.b
        names = [s.name for s in seam.stations]
        inner = {m.name for m in notches(half)[a.piece] if m.edge == a.edge} & {
            m.name for m in notches(half)[b.piece] if m.edge == b.edge
        }
        shared = [n for n in names if n in inner]
        assert shared
        for one, two in pairwise(shared):
            i, j = names.index(one), names.index(two)
            planned = sum(s.planned for s in seam.stretches[i:j])
            gap_a = along(half, a.piece, a.edge, two) - along(half, a.piece, a.edge, one)
            gap_b = along(half, b.piece, b.edge, two) - along(half, b.piece, b.edge, one)
            assert abs(gap_a) - abs(gap_b) == pytest.approx(planned, abs=2e-3)


def test_the_real_cap_meets_the_real_armhole() -> None:
    half = fitted("jacket").left
    front, back = dense(half.piece("front"), "armhole"), dense(half.piece("back"), "armhole")
    cap = dense(half.piece("sleeve"), "cap")
    hole = along(half, "front", "armhole", "front_notch")
    assert along(half, "sleeve", "cap", "front_notch") == pytest.approx(hole, abs=1e-3)
    under = along(half, "back", "armhole", "back_notch")
    start = half.piece("back").edge("armhole").start
    from_underarm = under if start == "underarm" else back.length - under
    left = cap.length - along(half, "sleeve", "cap", "back_notch")
    assert left == pytest.approx(from_underarm, abs=1e-3)
    assert front.length > hole


def test_dart_mouths_are_marked_and_reserve_is_marked_by_thread() -> None:
    half = as_drafted(skirt())
    front = marks(half, "front")
    assert front["front dart in"].at == pytest.approx([11.5, 60.3])
    assert front["front dart out"].at == pytest.approx([9.0, 60.15])
    assert not front["front dart in"].thread
    assert front["hip"].thread  # 2 cm of reserve at the side: no slits
    assert front["hip"].reach == pytest.approx(3.0)


def test_normals_point_out_of_the_piece() -> None:
    half = as_drafted(skirt())
    for name, found in notches(half).items():
        area = shapely.Polygon(np.concatenate([p.flatten() for p in half.piece(name).outline()]))
        for m in found:
            assert np.hypot(*m.out) == pytest.approx(1.0)
            assert not area.contains(shapely.Point(m.at + 0.2 * m.out))


def test_what_follows_by_rule_is_notched_on_every_output(tmp_path: Path) -> None:
    """Sheets, export, DXF and the lay have the lining's and the facing's marks at one place."""
    st = style("jacket")
    body = complete(read_record(MEASURES))
    chosen = st.choose({"lining": "full", "back": "yoke"})
    g = settle(st.finish(st.block(body, chosen), body, chosen))
    fit_ = fit(g, [Correction("sleeve_pitch", "sleeve", "right", {"amount": 0.8})])
    own = drawn(fit_, HEADING, st.derive)
    told = {(p["name"], p["side"]): p for p in exported(fit_, st.derive)["pieces"]}
    doc = readfile(write_dxf(tmp_path / "m.dxf", own, HEADING))
    made = {"lining_front", "lining_back", "lining_yoke", "lining_sleeve", "front_facing",
            "undercollar"}  # fmt: skip
    seen = set()
    for d in own:
        if d.piece.name not in made:
            continue
        seen.add(d.piece.name)
        # the sleeve is turned on the right only: its lining's marks are, and none of its lines
        assert d.side != "both" or d.piece.name != "lining_sleeve"
        assert d.notches
        said = told[d.piece.name, d.side]["notches"]
        assert [(n["name"], n["edge"], n["count"]) for n in said] == [
            (n.name, n.edge, n.count) for n in d.notches
        ]
        for n, m in zip(said, d.notches, strict=True):
            assert n["at"] == pytest.approx(m.at, abs=1e-4)
        ticks = [m for m in picture(d) if m.role == "notch"]
        assert len(ticks) >= sum(max(n.count, 1) for n in d.notches)
        dots = doc.blocks[block_name(d)].query('POINT[layer=="4"]')
        assert len(dots) == sum(n.count for n in d.notches if not n.thread)
    assert seen == made


def test_the_lay_shows_the_notches_of_what_follows_by_rule() -> None:
    job = demo_job()
    seen = set()
    for stock in stocks(job):
        for key, drawing in insides(job, stock).items():
            name = key.split(".")[1]
            if name in ("lining_sleeve", "lining_back", "pocket_bag", "pocket_bearer",
                        "front_facing"):  # fmt: skip
                seen.add(name)
                assert [m for m in drawing if m.role == "notch"], key
    assert len(seen) == 5
