"""The cloth need of an order: what a cutter reads, and the same as data."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import shapely

from pinwright.cutting.alternatives import Change
from pinwright.cutting.lay.placing import Field, Lay, Template
from pinwright.errors import LayError
from pinwright.workshop.job import Job, run
from pinwright.workshop.need import changes_of, data, needs, step_of, words
from pinwright.workshop.order import validate
from pinwright.workshop.stock import stocks

MEASURES = {"height": 168.0, "bust_girth": 92.0, "waist_girth": 74.5, "hip_girth": 99.0}


def job(cloth: dict[str, Any], **more: Any) -> Job:
    plain: dict[str, Any] = {
        "format": 1,
        "client": {"name": "A. N. Other"},
        "measures": MEASURES,
        "garments": [{"style": "trousers"}, {"style": "jacket"}],
        "cloth": [{"layer": "shell", "name": "serge", "width": 150.0, **cloth}],
    }
    return run(validate({**plain, **more}, Path("order.toml")))


@pytest.fixture(scope="module")
def serge() -> Job:
    return job({"price": 40.0})


def lay(length: float) -> Lay:
    return Lay(Field(148.0), (), (), length)


def by_area(templates: tuple[Template, ...], field: Field) -> Lay:
    """As if every lay were 80 per cent dense: length from the area alone, no two runs apart."""
    area = sum(float(shapely.Polygon(t.outline).area) * t.plies for t in templates)
    plies = 2 if field.folded else 1
    return Lay(field, templates, (), area / (plies * field.width * 0.8))


def test_every_cloth_has_its_estimate(serge: Job) -> None:
    found = {n.stock.key: n for n in needs(serge)}
    assert set(found) == {s.key for s in stocks(serge)}
    whole = found["serge"].estimate
    assert whole is not None
    assert whole.layers == ("shell", "facing")
    # a suit takes 2.7 to 3.2 m of 150 (sources 5.3, from memory); this jacket has no lapels
    assert 240.0 < whole.length < 320.0
    assert whole.high is not None
    assert whole.low < whole.length < whole.high
    assert found["serge"].bought is None


def test_the_estimate_holds_what_the_draft_then_needs(serge: Job) -> None:
    need = next(n for n in needs(serge) if n.stock.key == "serge").estimate
    assert need is not None
    drawn = by_area(*_built(serge))
    area = drawn.length * 148.0 * 0.8
    half = need.error_sources[0].cm * 148.0 * need.density
    assert abs(area - need.area) <= half


def _built(j: Job) -> tuple[tuple[Template, ...], Field]:
    seen: list[tuple[tuple[Template, ...], Field]] = []

    def note(templates: tuple[Template, ...], field: Field) -> Lay:
        seen.append((templates, field))
        return by_area(templates, field)

    next(changes_of(j, stocks(j)[0], note))
    return seen[0]


def test_a_repeat_too_wide_to_tell_gets_one_sentence_and_no_interval() -> None:
    check = {"along": 20.0, "across": 147.0, "turns": True}
    found = needs(job({"repeat": check}))[0]
    assert found.estimate is not None
    low = f"{found.estimate.low / 100.0:.2f} m"
    assert words(found)[:2] == (
        f"Estimated from height, bust, waist and hip alone: at least {low}, as for a cloth "
        "without repeat.",
        "A repeat of 147 cm across is more than the 49.3 cm up to which pieces are sure to find "
        "their lines beside each other: what it adds is not known, so lay the pieces before you "
        "buy.",
    )
    assert not any("95 of 100" in said for said in words(found))
    assert data(found)["estimate"]["high"] is None
    laid = needs(job({"repeat": check}), {"serge": [lay(583.0)]})[0]
    assert words(laid)[1] == (
        f"Before drafting at least {low} was estimated, as for a cloth without repeat."
    )
    bars = needs(job({"repeat": {"along": 90.0, "turns": True}}))[0]
    assert "90 cm along is more than the 68 cm up to which lays were measured" in words(bars)[1]


def test_a_repeat_that_does_not_turn_is_laid_one_way() -> None:
    def length(**cloth: Any) -> float:
        found = needs(job(cloth))[0].estimate
        assert found is not None
        return found.length

    turning, standing = (
        length(repeat={"along": 5.0, "across": 4.0, "turns": turns}) for turns in (True, False)
    )
    assert standing > 1.01 * turning
    # not matched, it still must not be turned
    unmatched = {"along": 5.0, "turns": False, "match": []}
    assert length(repeat=unmatched) == pytest.approx(length(direction="nap"))


def test_what_to_buy_and_pay(serge: Job) -> None:
    need = next(n for n in needs(serge, {"serge": [lay(271.2)]}) if n.stock.key == "serge")
    assert need.bought is not None
    assert (need.bought.length, need.bought.cost) == (280.0, 112.0)
    said = words(need)
    assert said[0] == (
        "The lay takes 2.72 m, with 5 cm for squaring the end: buy 2.80 m, 112.00 at 40 a metre."
    )
    assert any("95 of 100 cases" in s for s in said)


def test_cloth_at_hand_that_is_too_short() -> None:
    need = needs(job({"length": 250.0}), {"serge": [lay(271.2)]})[0]
    assert words(need)[0].endswith("26.2 cm more than there is.")
    need = needs(job({"length": 300.0}), {"serge": [lay(271.2)]})[0]
    assert words(need)[0].endswith("0.24 m of the cloth are left.")


def test_inches_and_eighths_of_a_yard() -> None:
    inches = job({}, client={"name": "A. N. Other", "units": "in"},
                 measures={k: v / 2.54 for k, v in MEASURES.items()})  # fmt: skip
    assert step_of("in") == pytest.approx(11.43)
    # 91.44 to the yard, 5 for squaring the end: 5/8 yd are 57.15, 1 yd 91.44, 1 1/4 yd 114.3
    for cm, told in ((52.1, "5/8 yd"), (86.4, "1 yd"), (105.0, "1 1/4 yd")):
        said = words(needs(inches, {"serge": [lay(cm)]})[0], "in")
        assert f": buy {told}." in said[0]
    need = needs(inches, {"serge": [lay(271.2)]})[0]
    assert need.bought is not None
    assert need.bought.length == pytest.approx(25 * 11.43)
    changes = (
        Change("160 cm wide", 250.0, -12.0, 3.0, -4.8),
        Change("folded", 264.0, 4.0, 1.0),
    )
    said = words(replace(need, changes=changes), "in")
    assert "buy 3 1/8 yd" in said[0]
    assert "with 2 in for squaring the end" in said[0]  # 5 / 2.54 = 1.97
    # 160 / 2.54 = 62.99, 12 / 2.54 = 4.72, 3 / 2.54 = 1.18; 4 / 2.54 = 1.57, 1 / 2.54 = 0.39
    assert "63 in wide: 4 3/4 in less (± 1 1/8 in), 4.80 less." in said
    assert "Folded: 1 5/8 in more (± 3/8 in)." in said
    assert not any(" cm" in s for s in said)
    # what other programs read stays in cm
    read = data(replace(need, changes=changes), "in")
    assert read["changes"][0]["what"] == "160 cm wide"
    assert read["changes"][0]["difference"] == -12.0
    assert read["bought"]["used"] == 271.2


def test_the_changes_of_an_order(serge: Job) -> None:
    found = {c.what: c for c in changes_of(serge, stocks(serge)[0], by_area)}
    assert set(found) == {"160 cm wide", "without reserve", "one way only", "folded"}
    present = by_area(*_built(serge)).length
    wider = found["160 cm wide"]
    assert wider.length == pytest.approx(present * 148.0 / 158.0, rel=1e-9)
    assert wider.cost == pytest.approx(40.0 * (present * 148.0 / 158.0 - present) / 100, abs=0.006)
    # side, seat, inseam and sleeve keep some centimetres: several per cent of the cloth
    assert -0.15 * present < found["without reserve"].difference < -0.02 * present
    assert found["one way only"].difference == pytest.approx(0.0, abs=1e-9)


def test_changes_in_words(serge: Job) -> None:
    changes = (
        Change("160 cm wide", 250.0, -12.0, 3.0, -4.8),
        Change("one way only", 264.0, 2.0, 3.0, 0.8),
        Change("folded", None, refused="The back is too wide."),
    )
    said = words(needs(serge, changes={"serge": changes})[0])
    assert "160 cm wide: 12 cm less (± 3 cm), 4.80 less." in said
    assert any(s.startswith("One way only: no difference that short runs can tell") for s in said)
    assert "Folded: The back is too wide." in said
    assert said[-1] == "Costs are compared at the same price a metre."


def test_the_same_as_data(serge: Job) -> None:
    changes = (Change("160 cm wide", 250.0, -12.0, 3.0, -4.8),)
    need = needs(serge, {"serge": [lay(271.2)]}, {"serge": changes})[0]
    read = json.loads(json.dumps(data(need)))
    assert read["cloth"] == "serge"
    assert read["bought"]["length"] == 280.0
    assert read["estimate"]["length"] == pytest.approx(need.estimate.length)  # type: ignore[union-attr]
    assert read["changes"][0]["difference"] == -12.0
    assert read["changes"][0]["certain"] is True
    assert read["words"] == list(words(need))


def test_habits_flaws_and_remnants_are_said_not_to_be_in_it() -> None:
    flawed = job({"flaws": [{"along": (40.0, 42.0), "across": (10.0, 20.0)}]})
    assert "Flaws and remnants are not in the estimate." in words(needs(flawed)[0])
    own = job({}, habits={"reserve": {"side_seam": 3.0}})
    assert any("not the workshop's own" in s for s in words(needs(own)[0]))


def test_a_cloth_without_width_is_refused_in_its_own_line(serge: Job) -> None:
    stock = stocks(serge)[0]
    narrow = replace(stock, material=replace(stock.material, width=2.0))
    with pytest.raises(LayError):
        list(changes_of(serge, narrow, by_area))
    need = needs(job({"width": 2.0}))[0]
    assert need.estimate is None
    assert "leaves no width" in words(need)[0]
