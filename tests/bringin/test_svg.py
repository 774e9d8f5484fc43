"""Outlines from SVG: drawings written by hand, and our own sheets against the JSON export."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely

from pinwright.bringin.bringing import bring_in
from pinwright.bringin.svg_path import subpaths
from pinwright.draft import style
from pinwright.errors import GeometryError, OrderError
from pinwright.geometry.outline import signed_area
from pinwright.geometry.path import Path as Curve
from pinwright.sheets.export import exported
from pinwright.sheets.svg import svg_sheet
from tests.sheets.orders import HEADING, fitted, pieces

HEAD = 'xmlns="http://www.w3.org/2000/svg"'


def drawing(tmp_path: Path, body: str, size: str) -> Path:
    path = tmp_path / "d.svg"
    path.write_text(f"<svg {HEAD} {size}>{body}</svg>")
    return path


# a rectangle 30 by 40 with a half circle of radius 5 standing on the middle of its top
SHAPE = "M0 0 H30 V40 H20 A5 5 0 0 1 10 40 H0 Z"
LENGTHS = [30, 40, 10, 5 * np.pi, 10, 40]
AREA = 1200 + 12.5 * np.pi


@pytest.mark.parametrize(
    ("size", "scale"),
    [
        ('width="50cm" height="60cm" viewBox="0 0 50 60"', 1.0),
        ('width="500mm" height="600mm" viewBox="0 0 500 600"', 10.0),
        ('width="50cm" height="60cm" viewBox="0 0 500 600"', 10.0),
        ('width="20in" height="24in" viewBox="0 0 50.8 60.96"', 1.0),
        ('width="800" height="900"', 96 / 2.54),
        ('width="800px" height="900px" viewBox="0 0 800 900"', 96 / 2.54),
        ('width="60cm" height="60cm" viewBox="0 0 50 60"', 1.0),  # the smaller scale holds for both
    ],
)
def test_units_and_view_boxes(tmp_path: Path, size: str, scale: float) -> None:
    # in SVG y runs down: the half circle stands outwards at the lower side of the page
    body = f'<path transform="scale({scale})" d="M0 0 H30 V40 H20 A5 5 0 0 1 10 40 H0 Z"/>'
    (outline,) = bring_in(drawing(tmp_path, body, size)).outlines
    assert outline.area == pytest.approx(AREA, rel=1e-6)
    assert sorted(p.length for p in outline.paths) == pytest.approx(sorted(LENGTHS), rel=1e-6)
    assert outline.fit == 0.0


def test_a_unit_given_goes_before_the_file(tmp_path: Path) -> None:
    path = drawing(tmp_path, f'<path d="{SHAPE}"/>', 'width="100%" viewBox="0 0 50 60"')
    with pytest.raises(
        OrderError,
        match=r"its width is '100%', which tells no size; give the unit of the drawing with"
        " --unit, one of",
    ):
        bring_in(path)
    (outline,) = bring_in(path, unit="in").outlines
    assert outline.area == pytest.approx(AREA * 2.54**2, rel=1e-6)
    with pytest.raises(OrderError, match="unit is 'furlong'; it may be cm, mm"):
        bring_in(path, unit="furlong")


def test_a_size_that_is_overruled_and_one_beyond_a_garment_are_told(tmp_path: Path) -> None:
    path = drawing(
        tmp_path, f'<path d="{SHAPE}"/>', 'width="50cm" height="60cm" viewBox="0 0 50 60"'
    )
    assert bring_in(path).remarks == ()
    assert bring_in(path, unit="cm").remarks == ()  # it agrees with the file
    assert bring_in(path, unit="in").remarks == (
        f"{path} states its own size; with --unit in everything is 2.54 times as large. Leave "
        "--unit out unless the file is wrong.",
    )
    unstated = drawing(tmp_path, f'<path d="{SHAPE}"/>', 'width="100%" viewBox="0 0 50 60"')
    assert bring_in(unstated, unit="in").remarks == ()
    assert bring_in(unstated, unit="m").remarks == (
        "Outline 1 is 3000 x 4500 cm, longer than pieces of a garment are: look whether the "
        "drawing's unit is right.",
    )


def test_transforms_groups_and_uses_are_followed(tmp_path: Path) -> None:
    body = f"""
    <defs><path id="p" d="{SHAPE}"/></defs>
    <g transform="translate(100 200) rotate(30)">
      <g transform="matrix(2 0 0 2 5 7)"><use href="#p" x="3"/></g>
      <rect x="60" y="60" width="8" height="9" rx="2" transform="skewX(20)"/>
    </g>
    <circle cx="300" cy="20" r="6"/>
    <polygon points="400,0 410,0 410,10"/>
    <g style="display: none"><rect width="70" height="70"/></g>"""
    found = bring_in(drawing(tmp_path, body, 'width="999cm" viewBox="0 0 999 900"')).outlines
    areas = [o.area for o in found]
    assert areas == pytest.approx([4 * AREA, 72 - (4 - np.pi) * 4, 36 * np.pi, 50], rel=1e-6)
    # the corner at (0, 0) of the shape, moved by hand: use, matrix, rotation, translation
    x, y = 2 * 3 + 5, 7
    c, s = np.cos(np.pi / 6), np.sin(np.pi / 6)
    want = np.array([100 + c * x - s * y, 900 - (200 + s * x + c * y)])
    assert np.hypot(*(found[0].corners - want).T).min() < 1e-9


@pytest.mark.parametrize(
    ("data", "same_as"),
    [
        ("m1 1 2 0 0 3z", "M1 1 L3 1 L3 4 Z"),
        ("M0 0q5 10 10 0t10 0", "M0 0 Q5 10 10 0 Q15 -10 20 0"),
        ("M0 0c1 2 3 4 5 0s4-4 5 0", "M0 0 C1 2 3 4 5 0 C7 -4 9 -4 10 0"),
        ("M0,0a5 5 0 01 10,0", "M0 0 A5 5 0 0 1 10 0"),
        ("M0 0h5v5H0V.5e1", "M0 0 L5 0 L5 5 L0 5 L0 5"),
        ("M0 0A1 1 0 0 1 10 0", "M0 0 A5 5 0 0 1 10 0"),  # radii too small are enlarged
    ],
)
def test_short_forms_mean_the_same(data: str, same_as: str) -> None:
    ((a, _),), ((b, _),) = subpaths(data), subpaths(same_as)
    assert a.shape == b.shape
    assert np.abs(a - b).max() < 1e-12


@pytest.mark.parametrize(("large", "sweep"), [(0, 0), (0, 1), (1, 0), (1, 1)])
def test_the_four_arcs_are_the_four_of_two_circles(large: int, sweep: int) -> None:
    ((ctrl, _),) = subpaths(f"M0 0 A5 5 0 {large} {sweep} 6 0")
    # circles of radius 5 through (0, 0) and (6, 0) have their centres at (3, 4) and (3, -4)
    angle = 2 * np.arcsin(0.6)
    assert Curve(ctrl).length == pytest.approx(5 * (2 * np.pi - angle if large else angle))
    centre = np.array([3.0, 4.0 if large != sweep else -4.0])
    at = Curve(ctrl).flatten(0.001)
    assert np.abs(np.hypot(*(at - centre).T) - 5).max() < 1e-6
    # y down: sweep 1 turns clockwise as seen, which is the direction of growing angles
    assert (signed_area([Curve(ctrl), Curve.line((6, 0), (0, 0))]) > 0) == bool(sweep)


def test_a_turned_ellipse_keeps_its_equation() -> None:
    ((ctrl, _),) = subpaths("M0 0 A8 3 25 1 0 9 4")
    at = Curve(ctrl).flatten(0.001)
    t = np.radians(25)
    u = at @ np.array([[np.cos(t), -np.sin(t)], [np.sin(t), np.cos(t)]])
    # least squares for the centre: (x - a)² / 64 + (y - b)² / 9 = 1 is linear in a, b and a rest
    m = np.stack([2 * u[:, 0] / 64, 2 * u[:, 1] / 9, np.ones(len(u))], axis=1)
    f = (u**2 / [64, 9]).sum(axis=1)
    _, rest, _, _ = np.linalg.lstsq(m, f, rcond=None)
    assert float(rest[0]) < 1e-9


def test_lines_drawn_one_by_one_are_strung_together(tmp_path: Path) -> None:
    body = """<g id="front"><path id="a" d="M0 0 H30"/><path id="c" d="M30 40 H0"/>
      <path id="d" d="M0 0 V40"/><path id="b" d="M30 40.01 V0"/></g>"""
    (outline,) = bring_in(drawing(tmp_path, body, 'width="50cm" viewBox="0 0 50 60"')).outlines
    assert outline.area == pytest.approx(1200, abs=0.5)
    assert outline.group == "front"
    assert len(outline.paths) == 4


def test_a_small_gap_is_drawn_shut_and_said(tmp_path: Path) -> None:
    path = drawing(
        tmp_path, '<path d="M0 0 H30 V40 H0 V0.15"/>', 'width="50cm" viewBox="0 0 50 60"'
    )
    brought = bring_in(path)
    assert len(brought.outlines) == 1
    assert any("gaps of up to 0.15 cm" in r for r in brought.remarks)


def test_bad_drawings_are_refused_in_a_sentence(tmp_path: Path) -> None:
    size = 'width="50cm" viewBox="0 0 50 60"'
    with pytest.raises(OrderError, match=r"no closed outline.*30\.0 cm apart\. Close it"):
        bring_in(drawing(tmp_path, '<path d="M0 0 V40 H30 V0"/>', size))
    with pytest.raises(GeometryError, match=r"Outline 1 crosses itself at \(10\.0, 50\.0\) cm"):
        bring_in(drawing(tmp_path, '<path d="M0 0 L20 20 H0 L20 0 Z"/>', size))
    with pytest.raises(GeometryError, match="hold 'X' at place 5"):
        bring_in(drawing(tmp_path, '<path d="M0 0X"/>', size))
    with pytest.raises(GeometryError, match="C takes 6 numbers at a time, not 4"):
        bring_in(drawing(tmp_path, '<path d="M0 0 C1 2 3 4"/>', size))
    with pytest.raises(OrderError, match="holds no line"):
        bring_in(drawing(tmp_path, "<text>hm</text>", size))
    with pytest.raises(OrderError, match="neither width nor height"):
        bring_in(drawing(tmp_path, f'<path d="{SHAPE}"/>', 'viewBox="0 0 50 60"'))
    with pytest.raises(OrderError, match="There is no file"):
        bring_in(tmp_path / "none.svg")
    (tmp_path / "half.svg").write_text("<svg")
    with pytest.raises(OrderError, match="not a whole SVG"):
        bring_in(tmp_path / "half.svg")
    (tmp_path / "x.txt").write_text("x")
    with pytest.raises(OrderError, match="neither SVG, DXF nor a picture"):
        bring_in(tmp_path / "x.txt")


@pytest.mark.parametrize("name", ["trousers", "jacket"])
def test_our_own_sheet_comes_back_as_the_export_says(tmp_path: Path, name: str) -> None:
    path = svg_sheet(tmp_path / "sheet.svg", pieces(name), HEADING)
    brought = bring_in(path)
    data = exported(fitted(name), style(name).derive)["pieces"]
    for label, key in (("cut-line", "cut_line"), ("net-line", "net")):
        found = sorted(o.area for o in brought.outlines if o.label == label)
        wanted = sorted(shapely.Polygon(p[key]).area for p in data)
        assert len(found) == len(wanted)
        lengths = sorted(o.length for o in brought.outlines if o.label == label)
        wanted_lengths = sorted(shapely.Polygon(p[key]).length for p in data)
        assert lengths == pytest.approx(wanted_lengths, abs=0.15)
        assert found == pytest.approx(wanted, rel=2e-3)
