"""The drawing tells the truth: its paths measure what the pieces measure."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from itertools import combinations

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from scipy.integrate import quad

from pinwright.geometry.path import Path
from pinwright.pattern.piece import Piece
from pinwright.web.drawing import piece_group
from pinwright.web.lettering import labels
from pinwright.web.svg import Placing, number, path_data
from pinwright.web.table import lay_out, views
from tests.web.pages import demo_job

Points = NDArray[np.float64]


def measured(d: str) -> float:
    """Length of SVG path data with M, L and C, by scipy's quadrature of each curve."""
    total, at = 0.0, np.zeros(2)
    for kind, rest in re.findall(r"([MLC])([^MLCZ]*)", d):
        v = np.array([float(x) for x in rest.split()]).reshape(-1, 2)
        if kind == "L":
            total += float(np.hypot(*(v[0] - at)))
        elif kind == "C":
            p = np.vstack([at, v])

            def speed(t: float, p: Points = p) -> float:
                q = np.diff(p, axis=0) * 3
                w = np.array([(1 - t) ** 2, 2 * t * (1 - t), t * t])
                return float(np.hypot(*(w @ q)))

            total += quad(speed, 0, 1, epsabs=1e-9)[0]
        at = v[-1]
    return total


def groups() -> list[tuple[Piece, ET.Element]]:
    out = []
    for g in demo_job().garments:
        for item in lay_out(views(g)).laid:
            out.append((item.view.piece, ET.fromstring(piece_group(item.view, item.placing))))
    return out


@pytest.mark.parametrize("garment", [0, 1])
def test_every_net_edge_on_the_page_measures_what_the_piece_measures(garment: int) -> None:
    for item in lay_out(views(demo_job().garments[garment])).laid:
        root = ET.fromstring(piece_group(item.view, item.placing))
        drawn = {
            e.attrib["data-k"].partition("|")[2]: e.attrib["d"]
            for e in root.iter("path")
            if "edge" in e.attrib["class"].split() and "after" in e.attrib["class"].split()
        }
        assert set(drawn) == {e.name for e in item.view.piece.edges}
        for e in item.view.piece.edges:
            assert measured(drawn[e.name]) == pytest.approx(e.length, abs=2e-3), e.name


def test_the_edge_on_the_fold_is_drawn_as_a_fold_and_no_cloth_ends_there() -> None:
    folded = 0
    for garment in demo_job().garments:
        for item in lay_out(views(garment)).laid:
            piece, root = item.view.piece, ET.fromstring(piece_group(item.view, item.placing))
            paths = [(e.attrib["class"].split(), e.attrib) for e in root.iter("path")]
            folds = [a for kinds, a in paths if {"edge", "fold", "after"} <= set(kinds)]
            rims = [a["d"] for kinds, a in paths if "rim" in kinds]
            if piece.cut != "fold":
                assert not folds
                assert not rims
                continue
            folded += 1
            assert [a["data-k"] for a in folds] == [f"{piece.name}|{piece.fold}"]
            fold = piece.edge(piece.fold or "").length
            around = float(shapely.Polygon(item.view.cut).length)
            # all of the cloth's edge but the fold, which runs on through the allowances at its ends
            beyond = around - sum(measured(d) for d in rims) - fold
            assert -0.05 < beyond < 8.0
            (whole,) = [a["d"] for kinds, a in paths if "ground-of" in kinds]
            assert whole.endswith("Z")
    assert folded >= 2


def test_curved_edges_are_drawn_as_the_cubics_they_are() -> None:
    front = next(p for p in demo_job().garments[1].draft.pieces if p.name == "front")
    hole = front.edge("armhole")
    d = path_data(hole.runs, Placing())
    assert d.count("C") == sum(r.spans for r in hole.runs)
    assert d.count("M") == 1


def test_a_dart_mouth_parts_an_edge_into_strokes_that_do_not_cross_it() -> None:
    side = demo_job().garments[1].draft.piece("front").edge("side")
    assert path_data(side.runs, Placing()).count("M") == len(side.darts) + 1 == 2


def test_a_mirrored_piece_is_the_other_hand_with_the_same_lengths() -> None:
    hook = Path.cubic((0, 0), (1, 3), (4, 4), (6, 1)) + Path.line((6, 1), (8, 1))
    plain, other = Placing(10, 20), Placing(10, 20, mirror=True)
    assert measured(path_data(hook, plain)) == pytest.approx(hook.length, abs=1e-3)
    assert measured(path_data(hook, other)) == pytest.approx(hook.length, abs=1e-3)
    np.testing.assert_allclose(plain.apply(np.array([8.0, 1.0])), [18.0, 19.0])
    np.testing.assert_allclose(other.apply(np.array([8.0, 1.0])), [2.0, 19.0])


def test_numbers_are_short_and_never_minus_nothing() -> None:
    assert [number(x) for x in (0.0, -0.00001, 12.0, 1.25, -3.10004)] == [
        "0",
        "0",
        "12",
        "1.25",
        "-3.1",
    ]


def test_every_piece_says_what_it_is_and_shows_grain_and_notches() -> None:
    for piece, root in groups():
        assert root.attrib["role"] == "img"
        assert "cut" in root.attrib["aria-label"] or "half" in root.attrib["aria-label"]
        kinds = [set(e.attrib.get("class", "").split()) for e in root.iter()]
        assert any("grain" in k for k in kinds)
        assert sum("dart" in k and "after" in k for k in kinds) == len(piece.darts)
        assert sum("line" in k and "after" in k for k in kinds) == len(piece.lines)


def test_every_piece_has_its_name_and_none_lies_over_another_or_beyond_the_foot() -> None:
    for g in demo_job().garments:
        table = lay_out(views(g))
        on = [(item.view, item.placing) for item in table.laid]
        k = table.width / 1000.0
        found = labels(on, k, table.height + 3.0)
        boxes = []
        for (view, _), text in zip(on, found, strict=True):
            root = ET.fromstring(text)
            x, y = (float(v) for v in re.findall(r"-?[\d.]+", root.attrib["transform"]))
            title, count = root
            assert view.title.startswith(str(title.text))
            assert (count.text, root.attrib["data-side"]) == (view.count, view.side)
            # a letter is about half as wide as it is high: 14 and 11.5 units
            for words, size in (("".join(title.itertext()), 14.0), (str(count.text), 11.5)):
                e = title if size == 14.0 else count
                half = k * size * 0.47 * len(words) / 2.0
                at = x + k * float(e.attrib.get("x", 0.0))
                foot = y + k * float(e.attrib["y"])
                boxes.append(shapely.box(at - half, foot - 0.7 * k * size, at + half, foot))
        assert all(not a.intersects(b) for a, b in combinations(boxes, 2))
        assert max(b.bounds[3] for b in boxes) < table.height + 3.0


def test_a_moved_piece_shows_its_old_line_and_an_unmoved_one_does_not() -> None:
    seen = set()
    for g in demo_job().garments:
        for item in lay_out(views(g)).laid:
            root = ET.fromstring(piece_group(item.view, item.placing))
            old = [e for e in root.iter("path") if "before" in e.attrib["class"].split()]
            assert bool(old) == (item.view.before is not None)
            seen.add(bool(old))
    assert seen == {True, False}
