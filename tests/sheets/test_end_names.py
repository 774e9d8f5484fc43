"""What lies beyond every edge is written at it, and ends that look alike are told apart."""

from __future__ import annotations

import pytest
import shapely

from pinwright.cutting.cutline import net_polygon
from pinwright.draft import style
from pinwright.fitting.ledger import fit
from pinwright.measures import complete, read_record
from pinwright.measures.units import LengthUnit, format_length
from pinwright.pattern.piece import Piece
from pinwright.sheets.drawn import Drawn, drawn
from pinwright.sheets.ink import Words
from pinwright.sheets.picture import END_NAMES, allowances, end_names, picture
from tests.sheets.orders import HEADING, LEDGERS, MEASURES, pieces

LEAST = 1.5
"""An edge shorter than this, cm, has no room for its width: it goes on from its neighbour."""


def made(name: str, **choices: object) -> tuple[Drawn, ...]:
    st = style(name)
    chosen = st.choose(choices)
    body = complete(read_record(MEASURES))
    g = st.finish(st.block(body, chosen), body, chosen)
    return drawn(fit(g, LEDGERS[name]), HEADING, st.derive)


@pytest.mark.parametrize("unit", ["cm", "in"])
@pytest.mark.parametrize("name", ["trousers", "jacket"])
def test_every_edge_says_what_lies_beyond_it(name: str, unit: LengthUnit) -> None:
    full = {"trousers": {"lining": "front to knee"}, "jacket": {"lining": "full"}}[name]
    for d in made(name, **full):
        p = d.piece
        cloth = shapely.Polygon(d.cut_line).buffer(0.05)
        net = net_polygon(p)
        words = [w for w in allowances(p, unit) if isinstance(w, Words)]
        for e in p.edges:
            if e.allowance + e.reserve < 0.7 or e.length < LEAST or e.name == p.fold:
                continue
            here = [w for w in words if _nearest(p, w) == e.name]
            said = " ".join(w.text for w in here)
            assert format_length(e.allowance, unit) in said, (p.name, e.name)
            assert (f"+ {format_length(e.reserve, unit)} reserve" in said) == (e.reserve > 0.0)
            for w in here:
                box = shapely.Polygon(w.corners)
                assert cloth.covers(box), (p.name, e.name, w.text)
                assert box.intersection(net).area < 0.1 * box.area, (p.name, e.name)


def _nearest(p: Piece, w: Words) -> str:
    at = shapely.Point(w.corners.mean(axis=0))
    return min(
        p.edges,
        key=lambda e: min(shapely.LineString(r.flatten()).distance(at) for r in e.runs),
    ).name


@pytest.mark.parametrize("band", ["straight", "shaped"])
@pytest.mark.parametrize("back", ["seam", "fold"])
def test_the_ends_of_the_band_are_told_apart_on_all_that_follows_it(band: str, back: str) -> None:
    for d in made("trousers", band=band, band_centre_back=back):
        if d.piece.name not in ("band", "band_interfacing", "band_underlap"):
            continue
        there = {m.text: m for m in picture(d) if isinstance(m, Words) and m.role == "line name"}
        end = "free end" if d.piece.name == "band_underlap" else "centre back"
        assert {"centre front", end} <= set(there)
        # on paper, where the other hand lies in the mirror
        flip = -1.0 if d.mirror else 1.0
        net = shapely.transform(net_polygon(d.piece), lambda q, f=flip: q * [f, 1.0])
        for said, edge in (("centre front", "front"), (end, "free" if "free" in end else "centre")):
            box = shapely.Polygon(there[said].corners)
            e = d.piece.edge(edge)
            line = shapely.LineString([e.first * [flip, 1.0], e.last * [flip, 1.0]])
            assert net.covers(box)
            assert line.distance(box) < 2.0
            assert all(
                line.distance(box) < shapely.Polygon(w.corners).distance(line)
                for other, w in there.items()
                if other != said and other in ("centre front", end)
            )


@pytest.mark.parametrize("name", ["trousers", "jacket"])
def test_names_of_ends_lie_inside_and_on_no_label(name: str) -> None:
    seen = set()
    for d in pieces(name):
        names = END_NAMES.get(d.piece.name, {})
        found = [w for w in end_names(d.piece) if isinstance(w, Words)]
        assert sorted(w.text for w in found) == sorted(names.values())
        seen |= {d.piece.name} if names else set()
        drawing = [m for m in picture(d) if isinstance(m, Words)]
        labels = shapely.union_all(
            [shapely.Polygon(m.corners) for m in drawing if m.role == "label"]
        )
        for m in drawing:
            if m.role == "line name" and m.text in names.values():
                assert not shapely.Polygon(m.corners).intersects(labels), (d.title, m.text)
    assert seen == {n for n in END_NAMES if n in {d.piece.name for d in pieces(name)}}
