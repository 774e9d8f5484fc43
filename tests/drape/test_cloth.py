"""Handles of cloth against published figures, sums done by hand, and the equations themselves."""

from __future__ import annotations

import re
from dataclasses import replace
from math import degrees, isclose
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_bvp

from pinwright.drape.cloth import CONSTANTS, Handle, handle, read_table, row
from pinwright.drape.cloth_lab import (
    drape_expected,
    fast_shear,
    from_kes,
    kes_strain,
    rigidity,
    secant,
)
from pinwright.drape.cloth_of import guessed, handle_of
from pinwright.drape.cloth_readings import (
    Readings,
    cautions,
    from_tests,
    pulled,
    shear_of_bias,
    worked,
)
from pinwright.drape.cloth_table import filled
from pinwright.errors import OrderError
from pinwright.workshop.demo import demo_order
from pinwright.workshop.order import Order, edited, parse
from pinwright.workshop.stock import material_of

TABLE = read_table()
SERGE = handle("wool serge")
TESTED = Readings(
    square=10.0,
    square_weight=2.7,
    strip_width=5.0,
    strip_length=50.0,
    strip_weight=100.0,
    strip_along=0.9,
    strip_across=1.1,
    strip_bias=2.4,
    bias_weight=25.0,
    overhang_along=3.6,
    overhang_across=3.4,
)
ROOT = Path(__file__).parents[2]


def order(handle_text: str, units: str = "cm") -> Order:
    text = demo_order().replace(
        'name = "navy wool serge"', f'name = "navy wool serge"\nhandle = {{ {handle_text} }}'
    )
    if units == "in":
        text = re.sub(r"(?m)^(\w+ = )([\d.]+)$", r'\1"\2 cm"', text.split("[[garments]]")[0])
        text = text.replace("[client]", '[client]\nunits = "in"')
        text = text.replace('format = "1 cm"', "format = 1")
        text += '[[garments]]\nstyle = "trousers"\n[[cloth]]\nname = "navy wool serge"\n'
        text += f"handle = {{ {handle_text} }}\n"
    return parse(text, Path("order.toml"))


# --- units


def test_units_of_the_drape() -> None:
    """By hand, from 1 N = 1e5 dyn: 1 N/m = 1e5/100 dyn/cm, 1 uN.m = 1e-6 x 1e5 x 100 dyn.cm."""
    c = replace(SERGE, mass=250.0, shear=40.0, bend_along=10.0, thickness=0.6).cgs
    assert c.mass == pytest.approx(0.025)
    assert c.shear == pytest.approx(40_000.0)
    assert c.bend_along == pytest.approx(100.0)
    assert c.thickness == pytest.approx(0.06)
    # Peirce's bending length is the same in both: (B / weight)^(1/3)
    si = (10e-6 / (0.250 * 9.81)) ** (1 / 3) * 100
    assert isclose((c.bend_along / (c.mass * 981.0)) ** (1 / 3), si, rel_tol=1e-12)


def test_membrane_is_the_inverse_of_the_compliance() -> None:
    c = SERGE.cgs
    along, across, coupling, shear = c.membrane
    least = -c.poisson / np.sqrt(c.stretch_along * c.stretch_across)
    compliance = np.array([[1 / c.stretch_along, least], [least, 1 / c.stretch_across]])
    stiffness = np.array([[along, coupling], [coupling, across]])
    np.testing.assert_allclose(stiffness @ compliance, np.eye(2), atol=1e-12)
    assert shear == c.shear
    # pulled along alone it is as stiff as stretch_along says
    pull = np.array([1.0, 0.0])
    assert 1.0 / np.linalg.solve(stiffness, pull)[0] == pytest.approx(c.stretch_along)


# --- laboratories


def test_the_worked_fast_report() -> None:
    """A student's FAST report, docs/sources.md 5.2 (read): 168 g/m2, all figures as it has them."""
    assert rigidity(168, 1.50) == pytest.approx(5.562, abs=5e-4)
    assert rigidity(168, 1.45) == pytest.approx(5.024, abs=5e-4)
    assert secant(100, 4.60) == pytest.approx(2133, abs=0.5)
    assert secant(100, 5.87) == pytest.approx(1671, abs=0.5)
    assert fast_shear(4.7) == pytest.approx(26.17, abs=5e-3)
    h = handle("wool suiting, plain 168 g")
    assert (round(h.bend_along, 3), round(h.bend_across, 3)) == (5.562, 5.024)
    assert round(h.shear, 2) == 26.17
    assert h.stretch_along == pytest.approx(19.62 / 0.0187, rel=1e-9)


def test_the_same_report_from_a_workshops_tests() -> None:
    """The FAST loads as a workshop would hang them: 100 gf/cm is 500 g on 5 cm, 5 gf/cm is 25 g."""
    read = Readings(
        square=10.0,
        square_weight=1.68,
        strip_width=5.0,
        strip_length=50.0,
        strip_weight=500.0,
        strip_along=2.30,
        strip_across=2.935,
        strip_bias=2.35,
        bias_weight=25.0,
        overhang_along=3.0,
        overhang_across=2.9,
    )
    h = from_tests("plain wool", read, SERGE)
    assert h.mass == pytest.approx(168.0)
    assert h.stretch_along == pytest.approx(2133, abs=0.5)
    assert h.stretch_across == pytest.approx(1671, abs=0.5)
    assert (round(h.bend_along, 3), round(h.bend_across, 3)) == (5.562, 5.024)
    # by hand: 1 / (4 x 0.047 / 4.905 - 1/2132.6 - 1/1671.2 + 2 x 0.2 / 1887.9) = 1 / 0.0374733
    assert h.shear == pytest.approx(26.686, abs=2e-3)
    assert h.thickness == SERGE.thickness
    assert (h.name, h.friction) == ("plain wool", SERGE.friction)


def test_kes_units() -> None:
    """docs/sources.md 5.2 (C): 1 gf.cm2/cm = 98.1 uN.m; 1 gf/(cm.deg) = 56.2 N/m."""
    got = from_kes({"W": 20.0, "T": 0.5, "EMT": [5, 5], "LT": 1.0, "B": [1.0, 0.1], "G": 1.0})
    assert got["mass"] == 200.0
    assert got["bend_along"] == pytest.approx(98.1)
    assert got["shear"] == pytest.approx(56.2, abs=0.05)
    # LT 1 is a straight line: 490.5 N/m at 5 % anywhere on it
    assert got["stretch_along"] == pytest.approx(9810.0)


@pytest.mark.parametrize("lt", [0.55, 0.65, 0.8])
def test_the_curve_holds_the_work_that_lt_says(lt: float) -> None:
    """LT = work / (500 EMT / 2), its definition (Kawabata 1980); integrated by trapezoids."""
    load = np.linspace(0.0, 500.0, 200_001)
    strain = 6.0 * (load / 500.0) ** (1.0 / (2.0 / lt - 1.0))
    assert kes_strain(6.0, lt, 125.0) == pytest.approx(strain[50_000])
    assert np.trapezoid(load, strain) == pytest.approx(lt * 500.0 * 6.0 / 2.0, rel=1e-4)


def test_drape_of_the_mean_winter_suiting() -> None:
    """By hand: (0.135743 / 26.35)^(1/3) = 0.17272; 5.1 + 247.3 x 0.17272 = 47.8."""
    b = 0.1357426 * 98.1
    assert drape_expected(263.5, b, b) == pytest.approx(47.81, abs=0.02)


# --- the table


@pytest.mark.parametrize("name", TABLE)
def test_every_constant_of_a_row_has_one_source(name: str) -> None:
    of = [c for s in row(name).handle.sources for c in s.of]
    assert sorted(of) == sorted(CONSTANTS)
    assert all(s.mark in ("read", "memory", "computed") for s in row(name).handle.sources)
    assert all(0.0 < s.band <= 0.5 and s.said for s in row(name).handle.sources)


@pytest.mark.parametrize("name", [n for n, r in TABLE.items() if r.tailoring])
def test_tailoring_cloth_is_on_the_chart(name: str) -> None:
    """SiroFAST's chart, De Boos & Tester 1994 (M, docs/sources.md 5.2), for suitings."""
    r = row(name)
    kes = r.read
    assert 30 <= r.handle.shear <= 80
    bends = (r.handle.bend_along, r.handle.bend_across)
    for emt, bend, most in zip(kes["EMT"], bends, (4, 6), strict=True):
        assert 5 <= bend <= 14
        e5, e20, e100 = (kes_strain(emt, kes["LT"], x) for x in (5, 20, 100))
        assert 2 <= e100 <= most
        assert bend * (e20 - e5) / 14.7 >= 0.25


def test_the_measured_cloth_is_off_the_chart_where_its_report_says() -> None:
    h = handle("wool suiting, plain 168 g")
    assert h.shear < 30  # G 26.2
    assert 5 <= h.bend_across < h.bend_along <= 14
    assert not row(h.name).tailoring


@pytest.mark.parametrize(
    ("names", "mass", "bend", "shear"),
    [
        (("cotton poplin",), (100, 150), (3, 8), (40, 120)),
        (("viscose lining", "cupro lining"), (55, 90), (1, 3), (15, 40)),
    ],
)
def test_shirting_and_lining_are_within_the_known_ranges(
    names: tuple[str, ...],
    mass: tuple[float, float],
    bend: tuple[float, float],
    shear: tuple[float, float],
) -> None:
    """docs/sources.md 5.1 and 5.2 (M)."""
    for h in map(handle, names):
        for value, (low, high) in (
            (h.mass, mass),
            (h.bend_along, bend),
            (h.bend_across, bend),
            (h.shear, shear),
        ):
            assert low <= value <= high, h.name


def test_suitings_are_kawabatas_means() -> None:
    """Kawabata 1980 (M): log W, T, B, G, then LT and log WT of summer and winter suitings."""
    for name, w, t, b, g, lt, wt in (
        ("wool suiting, light", 1.2757, -0.3042, -1.1052, -0.0662, 0.6286, 0.8713),
        ("wool suiting, middle weight", 1.4208, -0.1272, -0.8673, -0.0143, 0.6082, 0.9621),
    ):
        h = handle(name)
        assert h.mass == pytest.approx(10 * 10**w, rel=2e-3)
        assert h.thickness == pytest.approx(10**t, rel=1e-2)
        mean = np.sqrt(h.bend_along * h.bend_across)
        assert mean == pytest.approx(98.1 * 10**b, rel=5e-3)
        assert h.shear == pytest.approx(56.2 * 10**g, rel=2e-3)
        emt = 2 * 10**wt / (lt * 500) * 100
        assert np.mean(row(name).read["EMT"]) == pytest.approx(emt, rel=5e-3)


def test_the_drape_that_is_told_agrees_with_the_drape_that_is_reckoned() -> None:
    """Two things from memory side by side: neither is a proof, but they must not contradict."""
    for name, r in TABLE.items():
        h = r.handle
        reckoned = drape_expected(h.mass, h.bend_along, h.bend_across)
        assert r.drape[0] <= reckoned <= r.drape[1], name
        assert 0 < r.drape[0] < r.drape[1] < 100


# --- the workshop's tests


def test_half_the_overhang_is_the_bending_length() -> None:
    """The elastica of a strip under its own weight, solved here: B th'' = -w (L - s) cos th.

    With B = w = 1 the bending length is 1; an overhang of 2 must have its end at 41.5 degrees.
    """

    def end(over: float) -> float:
        s = np.linspace(0.0, over, 200)
        found: Any = solve_bvp(
            lambda s, y: np.vstack([y[1], -(over - s) * np.cos(y[0])]),
            lambda a, b: np.array([a[0], b[1]]),
            s,
            np.zeros((2, len(s))),
            tol=1e-8,
            max_nodes=100_000,
        )
        assert found.success
        th = found.sol(s)[0]
        return degrees(np.arctan2(np.trapezoid(np.sin(th), s), np.trapezoid(np.cos(th), s)))

    assert end(2.0) == pytest.approx(41.5, abs=0.05)
    # so a strip of 10 uN.m and 200 g/m2 hangs 2 (10e-6 / (0.2 x 9.81))^(1/3) = 3.4419 cm over
    got = from_tests("x", Readings(square=10, square_weight=2.0, overhang_along=3.4419), SERGE)
    assert got.bend_along == pytest.approx(10.0, rel=1e-3)


def test_a_bias_strip_solved_as_an_orthotropic_sheet() -> None:
    """Pull a sheet at 45 degrees by tensors, not by our formula, and read its shear back."""
    e1, e2, v, g = 1500.0, 900.0, 0.25, 42.0
    soft = -v / np.sqrt(e1 * e2)
    compliance = np.array([[1 / e1, soft, 0], [soft, 1 / e2, 0], [0, 0, 1 / g]])
    pull = 4.905
    # tension along n = (1, 1) / sqrt 2: T = pull n n, so T11 = T22 = T12 = pull / 2
    e11, e22, gamma = compliance @ np.full(3, pull / 2)
    n = np.sqrt(np.array([0.5, 0.5]))
    strain = n @ np.array([[e11, gamma / 2], [gamma / 2, e22]]) @ n
    assert shear_of_bias(pull, strain, e1, e2, v) == pytest.approx(g, rel=1e-9)
    assert shear_of_bias(pull, strain) < g  # FAST's way lets the threads' stretch pass for shear
    assert shear_of_bias(pull, strain) == pytest.approx(fast_shear(100 * strain), rel=4e-3)


def test_pull_is_weight_over_width() -> None:
    assert pulled(500.0, 5.0) == pytest.approx(98.1)  # 0.5 kg x 9.81 / 0.05 m
    assert pulled(25.0, 5.0) == pytest.approx(4.905)


def test_the_sums_are_told_in_the_clients_unit() -> None:
    cm = [w.says for w in worked("x", TESTED, SERGE)]
    inch = [w.says for w in worked("x", TESTED, SERGE, "in")]
    assert "0.90 cm longer on 50 cm is 1.80 %; 19.62 / 0.0180 = 1090 N/m." in cm[1]
    assert "0.35 in longer on 19 5/8 in is 1.80 %" in inch[1]  # 0.9 / 2.54 = 0.354; 50 / 2.54
    assert "half of an overhang of 1.42 in is a bending length of 0.71 in" in inch[4]
    assert not any(" cm" in s for s in inch)
    assert [w.constant for w in worked("x", TESTED, SERGE)] == [
        "mass",
        "stretch_along",
        "stretch_across",
        "shear",
        "bend_along",
        "bend_across",
    ]
    assert "25.5 N/m" in cm[3]  # FAST's way beside ours
    assert "26.7 N/m, which is used" in cm[3]


def test_what_was_tested_is_marked_so() -> None:
    h = from_tests("x", TESTED, SERGE)
    marks = {c: s.mark for s in h.sources for c in s.of}
    assert marks["mass"] == marks["shear"] == "read"
    assert marks["friction"] == "memory"
    assert sorted(marks) == sorted(CONSTANTS)
    assert from_tests("x", Readings(), SERGE) == SERGE


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"strip_weight": None}, "strip_along needs strip_weight"),
        ({"square_weight": None}, "square needs square_weight"),
        ({"strip_along": None, "strip_across": None, "strip_bias": None}, "strip_bias with it"),
        ({"overhang_along": 90.0}, "overhang_along is 90.00 cm; it may be from 0.50 cm to 40.00"),
        ({"overhang_along": -1.0}, "overhang_along"),
        ({"strip_bias": float("nan")}, "strip_bias"),
        ({"strip_along": 50.9}, "how much longer"),
        ({"square_weight": 270.0}, "mass is 27000; it may be from 15 to 1000 g/m2"),
        ({"strip_bias": 0.05}, "threads alone"),
        ({"strip_weight": -5.0}, "strip_weight is -5 g"),
    ],
)
def test_a_reading_that_cannot_be_is_refused(change: dict[str, Any], words: str) -> None:
    with pytest.raises(OrderError) as refused:
        from_tests("grey cloth", replace(TESTED, **change), SERGE)
    assert words in str(refused.value)
    assert "grey cloth" in str(refused.value)


@pytest.mark.parametrize("what", CONSTANTS)
@pytest.mark.parametrize("value", [-1.0, float("nan"), float("inf"), 1e7, "soft", True])
def test_a_constant_that_no_cloth_has_is_refused(what: str, value: Any) -> None:
    with pytest.raises(OrderError, match=what):
        replace(SERGE, **{what: value})


def test_cautions() -> None:
    assert cautions(TESTED) == ()
    heavy = cautions(replace(TESTED, strip_weight=2000.0))
    assert heavy == (
        "strip_weight pulls the strip more than wearing does: on 5 cm hang 75 to 125 g.",
    )
    assert "2 in hang" in cautions(replace(TESTED, strip_weight=2000.0), "in")[0]
    # e = 0.16: atan(1.16 / 0.84) = 54.09 degrees, so the threads turned 2 x 9.09 = 18
    assert "18 degrees" in cautions(replace(TESTED, strip_bias=8.0))[0]
    assert "50 % of it" in cautions(replace(TESTED, strip_along=0.1))[0]
    assert "15 %" in cautions(replace(TESTED, overhang_along=2.0))[0]
    assert "clips" in cautions(replace(TESTED, strip_length=15.0, strip_bias=0.75))[0]


# --- the order


def test_an_old_order_is_as_it_was() -> None:
    old = parse(demo_order(), Path("order.toml"))
    assert all(c.handle is None for c in old.cloth)


@pytest.mark.parametrize(
    ("name", "layer", "like"),
    [
        ("navy wool serge", "shell", "wool serge"),
        ("ink and chalk check wool", "shell", "wool suiting, middle weight"),
        ("pewter cupro", "lining", "cupro lining"),
        ("striped cotton pocketing", "pocketing", "cotton poplin"),
        ("White Cotton Poplin", "shell", "cotton poplin"),
        ("cotton gabardine", "shell", "cotton twill"),
        ("sand gabardine", "shell", "worsted gabardine"),
        ("crêpe de Chine, ivory", "shell", "silk crepe"),
        ("black wool crepe", "shell", "wool crepe"),
        ("Donegal tweeds", "shell", "tweed"),
        ("silk crepe lining", "lining", "silk crepe"),
        ("crepe lining", "lining", "viscose lining"),
        ("silk and wool", "shell", "silk habotai"),
        ("wool and silk", "shell", "wool suiting, middle weight"),
        ("silver polyester", "lining", "polyester lining"),
        ("silver polyester", "shell", "polyester gabardine"),
        ("ivory silk", "lining", "silk habotai"),
        ("striped wool", "lining", "viscose lining"),
        ("red flannel", "lining", "wool flannel"),
        ("bolt 7", "pocketing", "cotton poplin"),
        ("bolt 7", "shell", "wool suiting, middle weight"),
        ("bolt 7", "lining", "viscose lining"),
        ("", "shell", "wool suiting, middle weight"),
        ("woollen", "shell", "wool suiting, middle weight"),
    ],
)
def test_a_cloth_is_guessed_from_its_name(name: str, layer: str, like: str) -> None:
    assert guessed(name, layer).handle.name == like


@pytest.mark.parametrize("name", TABLE)
def test_a_cloth_named_as_the_table_names_it_is_that(name: str) -> None:
    assert guessed(name).handle.name == name


def test_a_guess_is_said() -> None:
    jacket = parse(demo_order(), Path("order.toml")).cloth[1]
    got, said = handle_of(jacket)
    assert got == handle("wool suiting, middle weight")
    assert said is not None
    assert said.startswith(
        "Ink and chalk check wool: how it hangs was not tested; it is taken to hang like "
        "wool suiting, middle weight."
    )
    _, said = handle_of(jacket.model_copy(update={"name": "wool jersey"}))
    assert said is not None
    assert "nothing like jersey" in said


def test_a_likened_cloth_needs_no_remark() -> None:
    got, said = handle_of(order('like = "denim"').cloth[0])
    assert (got, said) == (handle("denim"), None)
    got, said = handle_of(order('like = "denim", mass = 480').cloth[0])
    assert (got.mass, got.shear, said) == (480.0, handle("denim").shear, None)
    assert got.name == "navy wool serge"


def test_tests_in_the_order() -> None:
    text = (
        "square = 10, square_weight = 2.7, strip_width = 5, strip_length = 50, strip_weight = 100, "
        'strip_along = "9 mm", strip_across = 1.1, strip_bias = 2.4, bias_weight = 25, '
        "overhang_along = 3.6, overhang_across = 3.4"
    )
    got, said = handle_of(order(text).cloth[0])
    assert said is not None
    assert said.startswith(
        "Navy wool serge: poisson, thickness and friction not tested, assumed as of wool serge. "
        "As tested: A square of 10 cm weighs 2.7 g: 2.7 / 0.01 m² = 270 g/m². Stretch along: 100 g "
        "on a strip 5 cm wide pull 19.62 N/m; 0.90 cm longer on 50 cm is 1.80 %; 19.62 / 0.0180 = "
        "1090 N/m. Stretch across: "
    )
    # by hand: 0.270 x 9.81 x 0.018**3 and 0.017**3
    assert "= 15.45 µN·m" in said
    assert said.endswith("= 13.01 µN·m.")
    want = from_tests("navy wool serge", TESTED, SERGE)
    for c in CONSTANTS:
        assert getattr(got, c) == pytest.approx(getattr(want, c), rel=1e-12), c
    # the same figures in an order in inches are inches: c = 0.5 x 1.5 x 2.54 = 1.905 cm
    inch, said = handle_of(order("mass = 270, overhang_along = 1.5", "in").cloth[0], "in")
    assert inch.bend_along == pytest.approx(0.270 * 9.81 * 1.905**3, rel=1e-9)
    assert said is not None
    assert "stretch along" in said
    same, _ = handle_of(order('mass = 270, overhang_along = "3.81 cm"', "in").cloth[0], "in")
    assert same.bend_along == pytest.approx(inch.bend_along, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('like = "wool serg"', "Did you mean wool serge?"),
        ("overhang_alon = 3.0", "Did you mean overhang_along?"),
        ("mass = 5", "mass is 5; it may be from 15 to 1000 g/m2"),
        ('overhang_along = "wide"', "is not a length"),
        ("strip_along = 0.9", "strip_along needs strip_width"),
        ("mass = 200, square = 10, square_weight = 2", "given and its test too"),
        ("shear = 'stiff'", "cloth.1.handle.shear"),
    ],
)
def test_bad_handles_in_the_order_get_one_sentence(text: str, words: str) -> None:
    with pytest.raises(OrderError) as refused:
        order(text)
    said = str(refused.value)
    assert words in said
    assert "cloth.1.handle" in said
    assert "\n" not in said


def test_a_handle_outlives_a_change_of_the_order() -> None:
    text = demo_order().replace(
        'shrink = "done"', 'shrink = "done"\n\n[cloth.handle]\nmass = 250 # as weighed', 1
    )
    path = Path("order.toml")
    new = edited(text, path, {"lays": []})
    assert "mass = 250 # as weighed" in new
    again = parse(new, path).cloth[1].handle
    assert again is not None
    assert again.given == {"mass": 250.0}


def test_a_handle_changes_nothing_at_the_table() -> None:
    """What is laid and bought is the same with and without it."""
    told, plain = order('like = "denim"').cloth[0], parse(demo_order(), Path("order.toml")).cloth[0]
    assert told.handle is not None
    assert material_of(told) == material_of(plain)


# --- the document


def test_the_document_has_the_tables_and_the_sums() -> None:
    """Else run: python -m pinwright.drape.cloth_table --write docs/drape/cloth.md."""
    text = (ROOT / "docs" / "drape" / "cloth.md").read_text(encoding="utf-8")
    assert filled(text) == text
    steps = {w.constant: w.value for w in worked("x", TESTED, SERGE)}
    assert f"= {steps['stretch_along']:.0f} N/m" in text
    assert f"= {steps['shear']:.1f} N/m" in text
    assert f"= {steps['bend_along']:.1f} µN·m" in text
    e20 = handle("wool suiting, plain 168 g").stretch_along
    assert f"{shear_of_bias(4.905, 0.047, e20, e20, 0.2):.2f} with the stretch" in text


def test_every_handle_is_whole() -> None:
    assert len(TABLE) >= 20
    assert all(isinstance(r.handle, Handle) and hash(r.handle) for r in TABLE.values())
