"""A lay is kept in the order: reopened as it was, laid anew only when something changed."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import shapely

import pinwright.workshop.lays as lays_module
from pinwright.cutting.lay.placing import placed, turned
from pinwright.cutting.lay.verify import faults
from pinwright.errors import LayError, OrderError
from pinwright.workshop.job import Job, run
from pinwright.workshop.lays import ClothLay, kept_rows, lays_of
from pinwright.workshop.order import Order, edited, parse
from pinwright.workshop.stock import pieces_of, stocks

ORDER = """\
format = 1
# a comment that must survive
[client]
name = "Invented for this test"
[measures]
height = 166.0
waist_girth = 74.0
hip_girth = 99.0
[[garments]]
style = "trousers"
[[cloth]]
layer = "shell"
name = "grey flannel"
width = 150.0
[[cloth]]
layer = "pocketing"
name = "cotton"
width = 90.0
"""


def _run(text: str) -> Job:
    return run(parse(text, Path("order.toml")))


def _kept(text: str, found: tuple[ClothLay, ...]) -> str:
    return edited(text, Path("order.toml"), {"lays": kept_rows(found)})


@pytest.fixture(scope="module")
def laid() -> tuple[str, tuple[ClothLay, ...]]:
    found = lays_of(_run(ORDER), seconds=4.0)
    return _kept(ORDER, found), found


def _never(*_: object, **__: object) -> None:
    raise AssertionError("a kept lay was laid anew")


def test_every_piece_of_the_garment_lies_on_a_cloth_once(
    laid: tuple[str, tuple[ClothLay, ...]],
) -> None:
    job = _run(ORDER)
    _, found = laid
    want: list[str] = []
    for p in pieces_of(job.garments[0], "cut")[0].values():
        want += [p.name] * (2 * p.count if p.cut == "pair" else p.count)
    there = [t.piece for c in found for lay in c.lays for t in lay.templates]
    assert sorted(there) == sorted(want)
    for c in found:
        for lay in c.lays:
            assert faults(lay) == ()
            outlines = [shapely.Polygon(placed(lay.template(p.key), p)) for p in lay.placements]
            whole = shapely.union_all(outlines)
            assert whole.area == pytest.approx(sum(o.area for o in outlines), rel=1e-9)
            x0, y0, _, y1 = whole.bounds
            # the length reaches to what is held back for the second cut
            x1 = max(
                float(turned(np.array(t.taken.exterior.coords), p.rotation)[:, 0].max()) + p.x
                for p in lay.placements
                for t in (lay.template(p.key),)
            )
            assert x0 >= -1e-6
            assert y0 >= -1e-6
            assert y1 <= c.material.usable + 1e-6
            assert x1 == pytest.approx(lay.length, abs=0.01)


def test_a_kept_lay_is_reopened_exactly_and_nothing_is_laid(
    laid: tuple[str, tuple[ClothLay, ...]], monkeypatch: pytest.MonkeyPatch
) -> None:
    text, found = laid
    monkeypatch.setattr(lays_module, "solve", _never)
    again = lays_of(_run(text))
    for was, now in zip(found, again, strict=True):
        assert now.kept
        assert now.first == was.first
        for a, b in zip(was.lays, now.lays, strict=True):
            assert b.length == pytest.approx(a.length, abs=0.006)
            for p, q in zip(a.placements, b.placements, strict=True):
                assert np.allclose([p.x, p.y], [q.x, q.y], atol=5.1e-5)
                assert p.rotation == q.rotation


def test_the_orders_text_keeps_its_comments_and_reads_back(
    laid: tuple[str, tuple[ClothLay, ...]],
) -> None:
    text, found = laid
    assert "# a comment that must survive" in text
    order = parse(text, Path("order.toml"))
    assert len(order.lays) == len(found)
    again = edited(text, Path("order.toml"), {"lays": kept_rows(found)})
    assert again.count("[[lays]]") == len(found)
    plain = json.dumps(order.model_dump(mode="json", exclude={"lays"}))
    as_json = edited(plain, Path("order.json"), {"lays": kept_rows(found)})
    assert parse(as_json, Path("order.json")).lays == order.lays


def test_another_width_is_laid_anew_and_said(laid: tuple[str, tuple[ClothLay, ...]]) -> None:
    text, _ = laid
    changed = text.replace("width = 150.0", "width = 140.0")
    cloth = lays_of(_run(changed), seconds=2.0)
    assert not cloth[0].kept
    assert any("not what it was" in r for r in cloth[0].remarks)
    assert cloth[1].kept


def test_other_choices_are_laid_anew_and_said(laid: tuple[str, tuple[ClothLay, ...]]) -> None:
    text, _ = laid
    changed = text.replace('style = "trousers"', 'style = "trousers"\nchoices = { fit = "loose" }')
    cloth = lays_of(_run(changed), seconds=2.0)
    assert not cloth[0].kept
    assert any("changed since" in r for r in cloth[0].remarks)


def _fitted(text: str, *notes: str) -> str:
    lines = "".join(f'[[fittings.notes]]\ntext = "{n}"\n' for n in notes)
    return f"{text}\n[[fittings]]\ndate = 2027-02-01\n{lines}"


def test_the_fitting_leaves_the_first_cut_where_it_lies(
    laid: tuple[str, tuple[ClothLay, ...]], monkeypatch: pytest.MonkeyPatch
) -> None:
    text, found = laid
    monkeypatch.setattr(lays_module, "solve", _never)
    job = _run(_fitted(text, "waistband: waist measured 77"))
    assert job.notes[0].status == "made"
    now = lays_of(job)
    shell = now[0]
    assert shell.kept
    was = {p.key: p for p in found[0].lays[0].placements}
    lay = shell.lays[0]
    assert faults(lay) == ()
    band = pieces_of(job.garments[0])[0]["band"]
    for t in lay.templates:
        if t.stage == "fitting":
            p = next(p for p in lay.placements if p.key == t.key)
            assert np.allclose([p.x, p.y], [was[t.key].x, was[t.key].y], atol=5.1e-5)
        if t.piece == "band":
            # the band lies there as the fitting left it
            width = float(np.ptp(t.outline[:, 0]))
            edge = band.edge("upper") if band.name == "upper" else band.edges[0]
            assert width > edge.length


def test_a_cloth_for_a_garment_that_is_not_there_is_one_sentence() -> None:
    with pytest.raises(OrderError, match="cloth 'grey flannel' is for 'jacket'"):
        stocks(
            _run(
                ORDER.replace(
                    'name = "grey flannel"', 'name = "grey flannel"\ngarments = ["jacket"]'
                )
            )
        )


def test_a_cloth_narrower_than_a_piece_names_both() -> None:
    narrow = ORDER.replace("width = 150.0", "width = 30.0")
    with pytest.raises(LayError, match=r"(?i)trouser (front|back).*cm"):
        lays_of(_run(narrow), seconds=2.0)


def test_too_little_cloth_says_how_much_is_missing() -> None:
    short = ORDER.replace("width = 150.0", "width = 150.0\nlength = 90.0")
    with pytest.raises(LayError, match=r"\d+ cm"):
        lays_of(_run(short), seconds=2.0)


def test_orders_without_lays_are_as_before() -> None:
    order = parse(ORDER, Path("order.toml"))
    assert isinstance(order, Order)
    assert order.lays == ()
