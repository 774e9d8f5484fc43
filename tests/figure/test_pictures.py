"""Line drawings of the figure, read back from their SVG and held against other ways to see it."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from functools import cache
from itertools import combinations, pairwise

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from pinwright.errors import MeasureError
from pinwright.figure import pictures
from pinwright.figure.body.model import GENERAL, body, shaped
from pinwright.figure.body.standing import hanging, posed
from pinwright.figure.landmarks import Landmarks, landmarks
from pinwright.figure.picture_parts import NAMED, spread
from pinwright.figure.pictures import SIDES, heights, row, svg, view
from pinwright.figure.rounding import rounded
from pinwright.figure.seen import Seen, seen
from pinwright.figure.shadow import Side, lying, outline
from pinwright.figure.surface import triangles
from pinwright.measures.units import LengthUnit
from tests.figure.surfaces import box, torus

Array = NDArray[np.float64]
SVG = "{http://www.w3.org/2000/svg}"
FIGURES: dict[str, dict[str, float]] = {
    "mean": {},
    "full": {"weight": 0.95, "cup": 1.0},
    "tall": {"height": 1.0, "weight": 0.05, "cup": 0.1},
    "short": {"height": 0.0, "weight": 1.0, "cup": 0.6},
    # the slit at her armpit is so narrow that its outline cannot be rounded
    "tight": {"height": 0.43, "weight": 0.48, "muscle": 0.16, "cup": 0.73, "proportions": 0.11},
}
# right, up: how a viewer on that side of her sees x (her left), y (her back) and z
RIGHT: dict[Side, tuple[int, float]] = {
    "front": (0, 1.0),
    "back": (0, -1.0),
    "left": (1, 1.0),
    "right": (1, -1.0),
}


@cache
def figure(name: str) -> tuple[Array, Landmarks]:
    b = body()
    general = {**dict.fromkeys(GENERAL, 0.5), **FIGURES[name]}
    points = posed(b, shaped(general), hanging())[: b.n]
    points = points - [0.0, 0.0, points[:, 2].min()]
    return points, landmarks(points)


@cache
def looked(name: str, side: Side) -> Seen:
    points, marks = figure(name)
    return seen(points, body().faces, marks, side)


@cache
def drawn(name: str, side: Side, unit: LengthUnit = "cm", scale: float | None = None) -> ET.Element:
    return ET.fromstring(svg((looked(name, side),), figure(name)[1], unit, scale=scale))


def across(points: Array, side: Side) -> Array:
    axis, sign = RIGHT[side]
    return np.stack([sign * points[..., axis], points[..., 2]], axis=-1)


def of(drawing: ET.Element, kind: str) -> list[ET.Element]:
    return [e for e in drawing.iter() if e.get("class") == kind]


def paths(e: ET.Element) -> list[Array]:
    """The polylines of a path's M, L, C and Z, cubics in eight steps; y downwards."""
    found: list[list[list[float]]] = []
    t = np.arange(1, 9)[:, None] / 8.0
    s = 1.0 - t
    for letter, numbers in re.findall(r"([MLCZ])([^MLCZ]*)", e.attrib["d"]):
        at = np.array([float(n) for n in numbers.split()]).reshape(-1, 2)
        if letter == "M":
            found.append(at.tolist())
        elif letter == "L":
            found[-1] += at.tolist()
        elif letter == "C":
            p, (a, b, q) = np.array(found[-1][-1]), at
            places = s**3 * p + 3 * s * s * t * a + 3 * s * t * t * b + t**3 * q
            found[-1] += places.tolist()
        else:
            found[-1].append(found[-1][0])
    return [np.array(f) for f in found]


def floor(drawing: ET.Element) -> float:
    (line,) = of(drawing, "figure-floor")
    return float(paths(line)[0][0, 1])


@cache
def shape(drawing: ET.Element) -> shapely.Polygon:
    """The body's outline, y up from the floor."""
    (e,) = of(drawing, "figure-body")
    rings = [np.array([0.0, floor(drawing)]) + p * [1.0, -1.0] for p in paths(e)]
    return shapely.Polygon(rings[0], rings[1:])


def boxes(drawing: ET.Element) -> list[tuple[str, shapely.Polygon]]:
    """What each text takes: its length as set, from under the line to over its capitals."""
    found = []
    for e in drawing.iter(f"{SVG}text"):
        x, y, size = (float(e.attrib[k]) for k in ("x", "y", "font-size"))
        wide = float(e.attrib["textLength"])
        left = x - {"start": 0.0, "middle": wide / 2.0, "end": wide}[e.attrib["text-anchor"]]
        found.append(
            (e.text or "", shapely.box(left, y - 0.75 * size, left + wide, y + 0.22 * size))
        )
    return found


EVERY: list[tuple[str, Side]] = [(name, side) for name in ("mean", "full") for side in SIDES]
EVERY += [
    ("tall", "front"),
    ("tall", "right"),
    ("short", "back"),
    ("short", "left"),
    ("tight", "front"),
]


@pytest.mark.parametrize(("name", "side"), EVERY)
def test_the_outline_fills_the_box_of_the_body(name: str, side: Side) -> None:
    flat = across(figure(name)[0], side)
    x0, y0, x1, y1 = shape(drawn(name, side)).bounds
    low, high = flat.min(axis=0), flat.max(axis=0)
    # where a picture begins is free, so its width and not its place is the body's
    assert x1 - x0 == pytest.approx(high[0] - low[0], abs=0.05)
    assert y0 == pytest.approx(0.0, abs=0.05)
    assert y1 == pytest.approx(high[1], abs=0.05)


@pytest.mark.parametrize(("name", "side"), EVERY)
def test_the_outline_does_not_cross_itself(name: str, side: Side) -> None:
    (e,) = of(drawn(name, side), "figure-body")
    for ring in paths(e):
        assert shapely.LinearRing(ring).is_simple
    assert shape(drawn(name, side)).is_valid


@pytest.mark.parametrize(
    ("name", "side"), [("mean", "front"), ("full", "right"), ("short", "back")]
)
def test_the_outline_holds_what_all_triangles_cover(name: str, side: Side) -> None:
    flat = across(figure(name)[0], side)
    fine = 40.0
    at = (flat - flat.min(axis=0)) * fine + 2.0
    image = Image.new("1", (int(at[:, 0].max()) + 4, int(at[:, 1].max()) + 4))
    pen = ImageDraw.Draw(image)
    f = body().faces
    for corners in at[np.concatenate([f[:, :3], f[:, [0, 2, 3]]])].reshape(-1, 6).tolist():
        pen.polygon(corners, fill=1)
    covered = np.count_nonzero(np.asarray(image)) / fine**2
    assert shape(drawn(name, side)).area == pytest.approx(covered, rel=5e-3)


def test_left_and_right_are_mirror_images_of_an_even_body() -> None:
    left, right = (looked("mean", s).outline for s in ("left", "right"))
    other = shapely.transform(right, lambda p: p * [-1.0, 1.0])
    assert left.symmetric_difference(other).area < 1e-3 * left.area


def test_she_looks_to_the_left_of_the_picture_when_seen_from_her_left() -> None:
    for side, sign in (("left", -1.0), ("right", 1.0)):
        x0, _, x1, _ = looked("mean", side).outline.bounds
        toes = looked("mean", side).outline.intersection(shapely.box(x0, 0.0, x1, 3.0)).centroid.x
        ankle = looked("mean", side).points[f"ankle_bone_{side}"][0]
        assert sign * (toes - ankle) > 3.0


def test_the_shadow_of_a_torus_has_its_gap_and_area() -> None:
    points, faces = torus(10.0, 4.0)
    away = np.array([[100.0, 100.0]])
    found = outline(lying(points, triangles(faces), "front"), away)
    assert len(found.interiors) == 1
    assert found.area == pytest.approx(np.pi * (14.0**2 - 6.0**2), rel=2e-3)
    assert found.bounds == pytest.approx((-14.0, -14.0, 14.0, 14.0), abs=0.03)
    # seen on edge: a stadium without gap
    found = outline(lying(points, triangles(faces), "left"), away)
    assert len(found.interiors) == 0
    assert found.area == pytest.approx(20.0 * 8.0 + np.pi * 16.0, rel=4e-3)


def test_what_lies_foremost_on_a_box_is_its_front() -> None:
    points, faces = box(2.0, 3.0, 5.0)
    # from the front y is away from the eye, and the near face lies at y = 0
    body_ = lying(points, triangles(faces), "front")
    at = np.array([[1.0, 2.0, -0.5], [1.0, 2.0, -2.0], [1.0, 2.0, 1.0], [9.0, 2.0, -2.0]])
    assert body_.hidden(at, 1.0).tolist() == [False, True, False, False]
    corners, shares = body_.foremost(np.array([[1.5, 4.0]]))
    np.testing.assert_allclose((points[corners[0]] * shares[0][:, None]).sum(axis=0), [1.5, 0, 4])


@pytest.mark.parametrize(("name", "side"), [("mean", "left"), ("full", "left"), ("tall", "right")])
def test_the_arm_is_drawn_over_the_trunk(name: str, side: Side) -> None:
    points, marks = figure(name)
    b = body()
    limb = [k for k, bone in enumerate(b.bones) if bone in (f"forearm_{side}", f"hand_{side}")]
    limb += [k for k, bone in enumerate(b.bones) if bone == f"upper_arm_{side}"]
    whose = b.weights[:, limb].sum(axis=1) > 0.5
    quads = b.faces[whose[b.faces].all(axis=1)]
    flat = across(points, side)
    parts = shapely.polygons(flat[np.concatenate([quads[:, :3], quads[:, [0, 2, 3]]])])
    arm = shapely.union_all(parts[shapely.area(parts) > 1e-3], grid_size=0.01).buffer(0.02)
    line = shapely.MultiLineString([list(c) for c in looked(name, side).lines])
    # every line at the side is the arm's edge, or runs on into the shoulder
    low = line.intersection(shapely.box(-99.0, 0.0, 99.0, marks["armpit_left"][2] - 2.0))
    assert low.difference(arm.boundary.buffer(0.7)).length < 0.03 * low.length
    # and of that edge, where it lies well within the outline, nearly all is drawn
    inside = looked(name, side).outline.buffer(-1.5)
    edge = arm.boundary.intersection(inside)
    edge = edge.intersection(
        shapely.box(-99.0, marks["wrist_bone_left"][2], 99.0, marks["armpit_left"][2] - 2.0)
    )
    assert edge.length > 30.0
    assert edge.intersection(line.buffer(0.7)).length > 0.97 * edge.length


def test_a_full_bust_is_drawn_under_its_point_and_a_seat_by_the_fork() -> None:
    marks = figure("full")[1]
    for sign in (-1.0, 1.0):
        bust = marks["bust_point_left"][[0, 2]] * [sign, 1.0]
        lines = looked("full", "front").lines
        under = [c for c in lines if (np.abs(c[:, 0] - bust[0]) < 1.0).any()]
        assert any(-9.0 < c[:, 1].min() - bust[1] < -3.0 for c in under)
        seat = [c for c in looked("full", "back").lines if 3.0 < sign * c[:, 0].mean() < 12.0]
        assert any(abs(c[:, 1].mean() - marks.levels["fork"]) < 4.0 for c in seat)


@pytest.mark.parametrize("name", ["mean", "short"])
def test_the_crease_under_the_bust_lies_where_its_profile_falls_back_most(name: str) -> None:
    points, marks = figure(name)
    bust = marks["bust_point_left"]
    z = np.arange(marks.levels["under_bust"] - 2.0, bust[2] - 1.0, 0.1)
    near = points[(np.abs(points[:, 0] - bust[0]) < 1.5) & (points[:, 1] < bust[1] + 8.0)]
    # how fast she falls back at each height: a line through the vertices round it
    window = [near[np.abs(near[:, 2] - h) < 2.0] for h in z]
    fall = [-np.polyfit(w[:, 2], w[:, 1], 1)[0] for w in window]
    deepest = z[int(np.argmax(fall))]
    found = [c for c in looked(name, "front").lines if np.abs(c[:, 0] - bust[0]).min() < 1.0]
    heights_ = [c[np.argmin(np.abs(c[:, 0] - bust[0])), 1] for c in found]
    assert any(abs(h - deepest) < 1.0 for h in heights_), (heights_, deepest)


@pytest.mark.parametrize(("name", "side"), EVERY)
def test_lines_are_not_broken(name: str, side: Side) -> None:
    ends = [c[k] for c in looked(name, side).lines for k in (0, -1)]
    for i, j in combinations(range(len(ends)), 2):
        assert i // 2 == j // 2 or np.linalg.norm(ends[i] - ends[j]) > 1.5


def test_round_lines_are_rounded_and_corners_kept() -> None:
    square = np.array([[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [0.0, 4.0], [0.0, 0.0]])
    spans = rounded(square)
    straight = spans[:, :1] + np.arange(4)[:, None] / 3.0 * (spans[:, 3:] - spans[:, :1])
    np.testing.assert_allclose(spans, straight, atol=0.006)
    t = np.linspace(0.0, 2.0 * np.pi, 49)
    spans = rounded(10.0 * np.stack([np.cos(t), np.sin(t)], axis=1))
    middle = (spans[:, 0] + 3.0 * spans[:, 1] + 3.0 * spans[:, 2] + spans[:, 3]) / 8.0
    # the chords of that polygon come no nearer to the circle than 0.021
    np.testing.assert_allclose(np.hypot(*middle.T), 10.0, atol=0.01)


@pytest.mark.parametrize(("name", "side"), EVERY)
def test_face_feet_and_what_is_bare_are_plain(name: str, side: Side) -> None:
    points, marks = figure(name)
    lines = np.concatenate(looked(name, side).lines)
    # the chin is the lowest point of the head before the throat, and the mouth lies over it
    throat = marks["larynx"]
    before = points[(points[:, 1] < throat[1] - 4.0) & (points[:, 2] > throat[2])]
    assert lines[:, 1].max() < before[:, 2].min() + 3.0
    assert lines[:, 1].min() > marks.levels["ankle_left"] - 0.5
    for bare in ("bust_point_left", "bust_point_right", "fork"):
        if side == "front" or (bare == "fork" and side == "back"):
            away = np.linalg.norm(lines - across(marks[bare], side), axis=1)
            assert away.min() > (3.0 if bare == "fork" else 1.5)


@pytest.mark.parametrize(
    ("name", "side", "unit"), [(*e, "cm") for e in EVERY] + [("full", "front", "in")]
)
def test_labels_do_not_overlap(name: str, side: Side, unit: LengthUnit) -> None:
    found = boxes(drawn(name, side, unit))
    assert len(found) == 2 * len(pictures.LEVELS) + 2
    for (a, one), (b, other) in combinations(found, 2):
        assert not one.intersects(other), (a, b)
    outlined = shape(drawn(name, side, unit))
    down = shapely.transform(
        outlined, lambda p: [0.0, floor(drawn(name, side, unit))] + p * [1, -1]
    )
    assert not any(one.intersects(down) for _, one in found)
    x0, y0, x1, y1 = shapely.union_all([one for _, one in found]).bounds
    _, _, w, h = (float(v) for v in drawn(name, side, unit).attrib["viewBox"].split())
    assert min(x0, y0) >= 0.0
    assert x1 <= w
    assert y1 <= h


@pytest.mark.parametrize("scale", [None, 8.0])
def test_levels_that_lie_close_get_labels_apart(scale: float | None) -> None:
    marks = figure("mean")[1]
    close = {**marks.levels, "thigh": marks.levels["fork"] - 0.5, "hip": marks.levels["fork"] + 0.4}
    marks = replace(marks, levels=close)
    wanted = (*pictures.WANTED, "thigh", "upper_chest", "mid_thigh")
    text = svg((looked("mean", "front"),), marks, wanted=wanted, scale=scale)
    found = boxes(ET.fromstring(text))
    for (a, one), (b, other) in combinations(found, 2):
        assert not one.intersects(other), (a, b)
    names = [name for name, one in sorted(found, key=lambda f: f[1].bounds[1])]
    assert names.index("hip") < names.index("fork") < names.index("thigh")


@pytest.mark.parametrize(("name", "side"), EVERY)
def test_letters_are_read_at_320_px(name: str, side: Side) -> None:
    page = drawn(name, side)
    wide = float(page.attrib["viewBox"].split()[2])
    for e in page.iter(f"{SVG}text"):
        assert float(e.attrib["font-size"]) * 320.0 / wide >= 9.5


def test_letters_are_3_mm_high_on_paper() -> None:
    paper = drawn("mean", "front", scale=10.0)
    for e in paper.iter(f"{SVG}text"):
        assert float(e.attrib["font-size"]) == pytest.approx(3.0)


def test_a_level_lies_at_its_height_and_its_label_says_so() -> None:
    points, marks = figure("mean")
    page = drawn("mean", "front")
    ys = [floor(page) - float(paths(e)[0][0, 1]) for e in of(page, "figure-level")]
    words = [text for text, _ in boxes(page)]
    nape = points[np.argmin(np.linalg.norm(points - marks["back_neck_point"], axis=1))]
    expected = {
        "neck": nape[2],
        "bust": marks.levels["bust"],
        "under bust": marks.levels["under_bust"],
        "waist": marks.levels["waist"],
        "top hip": marks.levels["top_hip"],
        "hip": marks.levels["hip"],
        "fork": marks.levels["fork"],
        "knee": marks.levels["knee_left"],
        "ankle": marks.levels["ankle_left"],
    }
    assert ys == pytest.approx(list(expected.values()), abs=0.01)
    for (name, z), y in zip(expected.items(), ys, strict=True):
        assert words[words.index(name) + 1] == f"{z:.1f} cm"
        # the leader begins where the level ends
        ends = [paths(e)[0] for e in of(page, "figure-leader")]
        assert any(abs(floor(page) - float(p[0, 1]) - y) < 0.01 for p in ends)
    inches = [text for text, _ in boxes(drawn("mean", "front", "in"))]
    told = inches[inches.index("waist") + 1]
    whole, eighths = re.fullmatch(r"(\d+)(?: (\d/\d))? in", told).groups()  # type: ignore[union-attr]
    top, under = (eighths or "0/1").split("/")
    assert int(whole) + int(top) / int(under) == pytest.approx(expected["waist"] / 2.54, abs=1 / 16)


def test_legs_that_differ_are_told_apart() -> None:
    marks = figure("mean")[1]
    uneven = replace(marks, levels={**marks.levels, "knee_left": 50.0, "knee_right": 48.0})
    assert heights(uneven, "front", ["knee"]) == (("left knee", 50.0), ("right knee", 48.0))
    assert heights(uneven, "left", ["knee"]) == (("knee", 50.0),)
    assert heights(uneven, "right", ["knee"]) == (("knee", 48.0),)
    nearly = replace(marks, levels={**marks.levels, "knee_left": 48.4, "knee_right": 48.0})
    ((said, height),) = heights(nearly, None, ["knee"])
    assert said == "knee"
    assert height == pytest.approx(48.2)


def test_labels_are_spread_no_further_than_they_must() -> None:
    # by hand: two too close are moved by the same amount, apart from those that have room
    assert spread([10.0, 5.0, 4.6], 1.0).tolist() == pytest.approx([10.0, 5.3, 4.3])
    # three on one height: the middle one stays
    assert spread([5.0, 5.0, 5.0], 2.0).tolist() == pytest.approx([7.0, 5.0, 3.0])
    assert spread([], 1.0).tolist() == []


@pytest.mark.parametrize("side", SIDES)
def test_the_plumb_falls_from_the_side_neck_point_to_the_floor(side: Side) -> None:
    _, marks = figure("full")
    page = drawn("full", side)
    (e,) = of(page, "figure-plumb")
    line = paths(e)[0] * [1.0, -1.0] + [0.0, floor(page)]
    left = shape(page).bounds[0] - across(figure("full")[0], side)[:, 0].min()
    assert np.ptp(line[:, 0]) < 0.01
    assert line[:, 1].min() < 0.0
    if side in ("left", "right"):
        start = across(marks[f"side_neck_point_{side}"], side)
        np.testing.assert_allclose(line[0] - [left, 0.0], start, atol=0.02)
    else:
        assert line[0, 0] - left == pytest.approx(0.0, abs=0.02)
        assert line[:, 1].max() > marks.levels["top"]


def test_landmarks_are_drawn_where_they_are_seen() -> None:
    views = (looked("mean", "back"),)
    page = ET.fromstring(svg(views, figure("mean")[1], wanted=["points"]))
    found = of(page, "figure-point")
    shown = looked("mean", "back").points
    assert len(found) == len(shown)
    assert {"back_neck_point", "back_waist", "back_arm_break_left"} <= shown.keys()
    assert not {"front_neck_point", "bust_point_left", "knee_right", "larynx"} & shown.keys()
    assert not of(page, "figure-level")
    assert not of(page, "figure-plumb")


def test_printed_it_has_its_size_in_mm() -> None:
    paper = drawn("mean", "front", scale=10.0)
    wide, high = (float(v) for v in paper.attrib["viewBox"].split()[2:])
    assert paper.attrib["width"] == f"{wide:.2f}mm"
    assert paper.attrib["height"] == f"{high:.2f}mm"
    assert {e.get("stroke") for e in paper.iter(f"{SVG}path")} <= {"#000", "none"}
    assert "width" not in drawn("mean", "front").attrib


def test_the_row_shows_all_sides_on_one_floor_and_fits_a_landscape_page() -> None:
    points, marks = figure("full")
    page = ET.fromstring(row(points, body().faces, marks, scale=10.0))
    bodies = [paths(e)[0] for e in of(page, "figure-body")]
    assert len(bodies) == 4
    for p in bodies:
        assert p[:, 1].max() == pytest.approx(floor(page), abs=0.05)
    for p, q in pairwise(bodies):
        assert p[:, 0].max() + 5.0 < q[:, 0].min()
    found = boxes(page)
    assert {"Front", "Back", "Left side", "Right side"} <= {text for text, _ in found}
    for (a, one), (b, other) in combinations(found, 2):
        assert not one.intersects(other), (a, b)
    # A4 with 1 cm free all round
    assert float(page.attrib["width"].removesuffix("mm")) <= 277.0
    assert float(page.attrib["height"].removesuffix("mm")) <= 190.0


def test_it_is_told_to_those_who_do_not_see_it() -> None:
    ids: list[str] = []
    for side in SIDES:
        page = drawn("mean", side)
        assert page.attrib["role"] == "img"
        title, desc = page.find(f"{SVG}title"), page.find(f"{SVG}desc")
        assert title is not None
        assert desc is not None
        assert page.attrib["aria-labelledby"] == title.attrib["id"]
        assert page.attrib["aria-describedby"] == desc.attrib["id"]
        assert NAMED[side].lower() in (title.text or "")
        for name, height in heights(figure("mean")[1], side):
            assert f"{name} {height:.1f} cm" in (desc.text or "")
        ids += [e.attrib["id"] for e in page.iter() if "id" in e.attrib]
    assert len(ids) == len(set(ids))


def test_lines_are_told_apart_without_colour() -> None:
    page = drawn("mean", "front", scale=10.0)
    kinds = ("figure-body", "figure-turning", "figure-level", "figure-plumb")
    styles = {
        (e.get("stroke-width"), e.get("stroke-dasharray")) for k in kinds for e in of(page, k)
    }
    assert len(styles) == 4
    (rim,), (inner,) = of(page, "figure-body"), of(page, "figure-turning")
    assert float(rim.attrib["stroke-width"]) > 1.5 * float(inner.attrib["stroke-width"])
    assert re.fullmatch(r"#(\w\w)\1\1", rim.attrib["fill"])


def test_an_unknown_level_is_refused_with_the_one_that_was_meant() -> None:
    points, marks = figure("mean")
    with pytest.raises(MeasureError, match=r'no level "tophip".*top_hip'):
        view(points, body().faces, marks, "front", wanted=["tophip"])
