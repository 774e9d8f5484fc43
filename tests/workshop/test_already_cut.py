"""After a fitting the pattern sheets do not promise what the cloth already cut does not have."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import shapely
from pypdf import PdfReader

from pinwright.cutting.cloth import cloth_as_cut
from pinwright.cutting.cutline import cut_line
from pinwright.sheets.drawn import Drawn, as_cut
from pinwright.sheets.ink import Stroke, Words
from pinwright.sheets.picture import allowances, picture
from pinwright.sheets.recut import piece_drawing
from pinwright.workshop.writing import drawings, pattern, write_sheets
from tests.cutting.test_reserve import block
from tests.web.pages import demo_job

MARKED = "already cut: change it by the recut sheet"


def shown(garment: str) -> dict[tuple[str, str], Drawn]:
    job = demo_job()
    g = next(g for g in job.garments if g.style.name == garment)
    return {(d.piece.name, d.side): d for d in pattern(job, g)[0]}


def beyond(d: Drawn, edge: str) -> str:
    """What stands in the allowance of an edge."""
    e = d.piece.edge(edge)
    only = replace(d.piece, edges=tuple(
        x if x.name == edge else replace(x, allowance=0.0, reserve=0.0) for x in d.piece.edges
    ))  # fmt: skip
    line = shapely.LineString([e.first, e.last])
    (said,) = [
        m.text
        for m in allowances(only, "cm", d.cloth if d.already else None)
        if isinstance(m, Words) and shapely.Point(m.at).distance(line) < 2.0
    ]
    return said


def test_hems_tell_the_reserve_that_the_fitting_left() -> None:
    """Jacket hem cut with 4 + 3, then 1 longer: 2 are left. Trouser hems cut with 1 + 5, then 1.5
    up on the right and 1 on the left: 6.5 and 6."""
    jacket, trousers = shown("jacket"), shown("trousers")
    for side in ("right", "left"):
        assert beyond(jacket["front", side], "hem") == "4.0 cm + 2.0 cm reserve"
        assert beyond(jacket["back", side], "hem") == "4.0 cm + 2.0 cm reserve"
    for piece in ("front", "back"):
        assert beyond(trousers[piece, "right"], "hem") == "1.0 cm + 6.5 cm reserve"
        assert beyond(trousers[piece, "left"], "hem") == "1.0 cm + 6.0 cm reserve"


def test_what_is_cut_says_so_and_shows_the_edge_of_its_cloth() -> None:
    for garment in ("jacket", "trousers"):
        for (name, _), d in shown(garment).items():
            cut = d.piece.stage == "fitting" and d.piece.follows is None
            assert d.already == cut, name
            if not cut:
                assert not any("already" in text for text in d.labels), name
                continue
            assert d.labels[1] in (MARKED, "already cut"), name
            assert d.cloth is not None
            assert np.array_equal(d.cut_line, np.asarray(d.cloth.exterior.coords))
            # its slits are cut; where notches belong now is a tick across the net line
            slits = [m for m in picture(d) if isinstance(m, Stroke) and m.role == "notch"]
            assert all(m.weight < 0.05 for m in slits)
    assert shown("jacket")["front", "right"].labels[1] == MARKED
    # the left yoke is as it was
    assert shown("jacket")["yoke", "left"].labels[1] == "already cut"


def test_a_narrow_place_is_told_as_the_least() -> None:
    """Cut with 1 + 2 at the side; the hip then 1.5 out: 0.5 of reserve is left there, 2 above."""
    was, now = block(), block(right=21.5)
    d = Drawn(now, "both", "cut 1", cut_line(now), (), ("Front", "cloth"), was, cloth_as_cut(was))
    assert beyond(d, "side") == "1.0 cm + 2.0 cm reserve"
    assert beyond(as_cut(d, True), "side") == "1.0 cm + 0.5 cm reserve"
    out = block(right=22.4)
    d = Drawn(out, "both", "cut 1", cut_line(out), (), ("Front", "cloth"), was, cloth_as_cut(was))
    # the cloth ends 0.6 beyond the new line: too little to write in
    assert not [
        m for m in allowances(out, "cm", d.cloth) if isinstance(m, Words) and m.at[0] > 22.4
    ]


def test_before_it_is_cut_a_piece_is_shown_by_its_draft() -> None:
    p = block()
    d = Drawn(p, "both", "cut 1", cut_line(p), (), ("Front", "cloth"))
    assert as_cut(d, True) is d


def test_the_sheets_tell_it_and_the_recut_sheet_does_not(tmp_path: Path) -> None:
    job = demo_job()
    for path in write_sheets(job, tmp_path, "large"):
        pages = [page.extract_text() for page in PdfReader(path).pages]
        assert "is drawn to the edge of its cloth" in " ".join(pages[0].split()), path
        assert MARKED in "\n".join(pages)
    g = job.garments[1]
    for d in drawings(job, g):
        said = [m.text for m in piece_drawing(d, ()) if isinstance(m, Words)]
        assert not any("already" in text for text in (*said, *d.labels))


def test_each_back_is_told_what_its_own_hem_has() -> None:
    note = next(n for n in demo_job().notes if n.text == "back rise 2 longer")
    up = next(r.text for r in note.remedies if r.kind == "pass_up")
    assert "6.5 cm beyond its least allowance on the right, 6.0 cm on the left" in up
