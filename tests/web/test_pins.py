"""Pins stand where the note speaks of, and what cloth is missing is drawn to measure."""

from __future__ import annotations

import re

import numpy as np
import pytest
import shapely

from pinwright.pattern.piece import Piece
from pinwright.web.pins import Pin, pins
from pinwright.web.table import Laid, lay_out, views
from pinwright.web.wanted import wanted_marks
from pinwright.workshop.told import moves, states
from tests.web.pages import demo_job


def number(text: str) -> int:
    return 1 + next(i for i, n in enumerate(demo_job().notes) if text in n.text)


def pinned(garment: int) -> tuple[tuple[Pin, ...], tuple[Laid, ...]]:
    job = demo_job()
    g, made = job.garments[garment], states(demo_job())
    laid = lay_out(views(g)).laid
    notes = [
        (i + 1, n.corrections, moves(n, made.get(i), job))
        for i, n in enumerate(job.notes)
        if n.garment == g.style.name and n.status in ("made", "short")
    ]
    return pins(notes, g.draft, laid), laid


def lines_of(piece: Piece, laid: Laid) -> shapely.Geometry:
    runs = [r for e in piece.edges for r in e.runs] + [x.path for x in piece.lines]
    drawn = [shapely.LineString(laid.placing.apply(r.flatten(0.01))) for r in runs]
    legs = [np.array([*piece.mouth(d.name), d.apex]) for d in piece.darts]
    drawn += [shapely.Polygon(laid.placing.apply(leg)) for leg in legs]
    return shapely.union_all(drawn)


@pytest.mark.parametrize("garment", [0, 1])
def test_every_note_of_a_garment_has_its_pin_on_a_line_of_a_piece(garment: int) -> None:
    found, laid = pinned(garment)
    style = demo_job().garments[garment].style.name
    wanted = {
        i + 1
        for i, n in enumerate(demo_job().notes)
        if n.garment == style and n.status in ("made", "short")
    }
    assert {p.note for p in found} == wanted
    for p in found:
        near = min(lines_of(x.view.piece, x).distance(shapely.Point(p.at)) for x in laid)
        # pins that would stand on one another are set apart along their edge
        assert near < 1.0, (p.note, near)
        assert float(np.hypot(*p.out)) == pytest.approx(1.0)


def test_a_one_sided_note_is_pinned_on_that_side_only() -> None:
    found, laid = pinned(1)
    shoulder = [p for p in found if p.note == number("shoulder R")]
    assert {p.side for p in shoulder} == {"right"}
    (at,) = [p.at for p in shoulder]
    holder = min(laid, key=lambda x: lines_of(x.view.piece, x).distance(shapely.Point(at)))
    edge = holder.view.piece.edge("shoulder")
    line = shapely.LineString(holder.placing.apply(edge.runs[0].flatten(0.01)))
    assert line.distance(shapely.Point(at)) < 0.05


def test_pins_do_not_hide_each_other() -> None:
    for garment in (0, 1):
        found, _ = pinned(garment)
        for i, p in enumerate(found):
            for q in found[:i]:
                assert float(np.hypot(*(p.at - q.at))) > 2.9, (p.note, q.note)


def test_the_wanted_line_leaves_the_cloth_by_what_is_missing_beyond_the_least_allowance() -> None:
    job = demo_job()
    g = job.garments[0]
    laid = lay_out(views(g)).laid
    text = wanted_marks(g, job, laid)
    assert f'data-note="{number("back rise")}"' in text
    (short,) = [n for n in job.notes if n.status == "short"]
    worst = max((x for _, _, x in short.shortfalls), key=lambda x: x.missing)
    cloth = {
        x.view.side: shapely.Polygon(x.placing.apply(x.view.cut))
        for x in laid
        if x.view.piece.name == worst.piece
    }
    ends = np.array(
        [[float(v) for v in pair.split()] for pair in re.findall(r"[ML]([-\d. ]+)", text)]
        + [[float(v) for v in c.split()[-2:]] for c in re.findall(r"C([-\d. ]+)", text)]
    )
    beyond = max(min(a.distance(shapely.Point(p)) for a in cloth.values()) for p in ends)
    assert beyond == pytest.approx(worst.missing - worst.least, abs=0.15)
    assert re.search(rf"{worst.missing:.1f} missing", text)
