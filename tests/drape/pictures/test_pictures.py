"""Pictures of a tube whose every value is known: colours, steps, what is hidden, what is said."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from io import BytesIO
from xml.etree import ElementTree

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from pinwright.drape.pictures.coloured import contours
from pinwright.drape.pictures.looked import CLOTH as RIGHT_SIDE
from pinwright.drape.pictures.marks import APART_BY, Label, free_place
from pinwright.drape.pictures.paint import png, svg
from pinwright.drape.pictures.picture import (
    SHARP,
    LookedAt,
    Picture,
    extent,
    look_at,
    picture,
)
from pinwright.drape.pictures.scale import QUANTITIES, ramp, scale_of
from pinwright.drape.pictures.shown import Spot, hem, lowest, worst
from pinwright.sheets.ink import Stroke, Words, bounds
from tests.drape.pictures.tube import BODY, CLOTH, HIGH, LOW, TIGHT, fields, hung, shown, vertex

Array = NDArray[np.float64]
SIDES = ("front", "back", "left", "right")


@cache
def seen() -> LookedAt:
    return look_at(shown(), high=480)


@cache
def pictured(quantity: str, unit: str = "cm") -> Picture:
    return picture(seen(), quantity, unit)  # type: ignore[arg-type]


def colour(p: Picture, x: float, y: float) -> Array:
    """The colour at a place of the picture, cm."""
    found: Array = p.pixels[int((p.top - y) * p.per_cm), int((x - p.left) * p.per_cm)].astype(float)
    return found


def middles() -> list[float]:
    """Where the axis of the tube lies in each view of the row, cm of the picture."""
    marks = [m for m in pictured("gap").marks if isinstance(m, Words)]
    named = ("Front", "Back", "Left side", "Right side")
    return [float(next(m.at[0] for m in marks if m.text == name)) for name in named]


def band(p: Array, count: int = 7) -> int:
    """The band whose colour, shaded by up to 11 %, is nearest."""
    shades = np.linspace(0.89, 1.0, 12)[None, :, None] * ramp(count)[:, None].astype(float)
    far = np.linalg.norm(shades - p, axis=2)
    assert far.min() < 4.0, p
    return int(np.argmin(far.min(axis=1)))


def test_the_tight_half_has_the_colour_of_its_stretch_in_every_view() -> None:
    p = pictured("strain across")
    front, back, left, right = middles()
    rest, tight = (int(b) for b in scale_of("strain across").bands(np.array([0.0, TIGHT])))
    # seen from the front her left is on the right of the picture
    assert [band(colour(p, front + x, 45.0)) for x in (-8.0, 8.0)] == [rest, tight]
    assert [band(colour(p, back + x, 45.0)) for x in (-8.0, 8.0)] == [tight, rest]
    assert {band(colour(p, left + x, 45.0)) for x in (-9.0, -3.0, 5.0, 9.0)} == {tight}
    assert {band(colour(p, right + x, 45.0)) for x in (-9.0, -3.0, 5.0, 9.0)} == {rest}


def test_the_edge_of_the_tight_half_is_at_the_middle() -> None:
    p = pictured("strain across")
    front = middles()[0]
    x = front + np.linspace(-3.0, 3.0, 121)
    bands = [band(colour(p, v, 96.0)) for v in x]
    half = scale_of("strain across").steps[3]
    # from one vertex, at the middle, to the next the stretch rises evenly from 0 to 6 %
    step = CLOTH * np.sin(2 * np.pi / 96)
    at = x[int(np.argmax(np.array(bands) > 3))] - front
    assert at == pytest.approx(step * half / TIGHT, abs=2.0 / p.per_cm)


@pytest.mark.parametrize("side", range(4))
def test_steps_run_where_the_field_is_as_much_as_they_say(side: int) -> None:
    scale = scale_of("gap")
    look = seen().looks[side]
    found = contours(look, fields()["gap"], scale)
    # 6 cm over 60: the steps up to 5 cm are on the cloth, those over it are not
    assert sorted({k for k, _ in found}) == [0, 1, 2, 3, 4]
    for k, line in found:
        z = LOW + (HIGH - LOW) * scale.steps[k] / 6.0
        assert np.abs(line[:, 1] - z).max() < 1.0 / look.frame.per_cm
        # it runs across the whole tube but for the points at its edges
        assert np.ptp(line[:, 0]) > 2 * CLOTH - 2.0


def test_no_step_runs_along_an_edge_where_cloth_lies_before_cloth() -> None:
    look = seen().looks[0]
    flat = np.where(shown().hung.points[:, 1] < 0.0, 2.5, 0.2)
    scale = scale_of("gap")
    # the front has one value and the back another, so that they only meet beside the tube
    lines = [c for _, c in contours(look, flat, scale)]
    assert all(np.abs(c[:, 0]).min() > 0.9 * CLOTH for c in lines)
    # seen from the side the change is in sight
    lines = [c for _, c in contours(seen().looks[2], flat, scale)]
    assert lines
    assert all(np.abs(c[:, 0]).max() < 2.0 for c in lines)


def test_what_lies_behind_is_hidden() -> None:
    look = seen().looks[0]
    on = np.array([[0.0, -CLOTH, 70.0], [0.0, CLOTH, 70.0], [0.0, BODY, 120.0], [0.0, -BODY, 120]])
    assert look.seen(on).tolist() == [True, False, False, True]
    front, back = (
        [m for m in _view(k) if isinstance(m, Words) and m.role == "drape mark"] for k in (0, 1)
    )
    assert {m.text for m in front} >= {"1"}
    assert "2" not in {m.text for m in front}
    assert {m.text for m in back} >= {"2"}
    assert "1" not in {m.text for m in back}


def _view(k: int) -> list[Stroke | Words]:
    """The marks of one view of the row."""
    p, middle = pictured("strain across"), middles()[k]
    found = []
    for m in p.marks:
        x0, _, x1, _ = bounds((m,))
        if middle - CLOTH - 2.0 < (x0 + x1) / 2.0 < middle + CLOTH + 2.0 and x1 - x0 < 30.0:
            found.append(m)
    return found


def test_a_fold_has_its_tick_at_the_deeper_end() -> None:
    strokes = [m for m in _view(0) if m.role == "drape fold" and isinstance(m, Stroke)]
    line = next(m for m in strokes if np.ptp(m.chains[0][:, 1]) > 15.0)
    tick = next(m for m in strokes if np.ptp(m.chains[0][:, 1]) < 1.0)
    assert np.ptp(line.chains[0][:, 1]) == pytest.approx(20.0, abs=0.5)
    assert tick.chains[0][:, 1].mean() == pytest.approx(70.0, abs=0.5)
    number = next(m for m in _view(0) if isinstance(m, Words) and m.text == "1")
    assert number.at[1] < 50.0


def test_the_worst_places_are_lettered_where_they_are() -> None:
    p = pictured("strain across")
    words = [m.text for m in p.marks if isinstance(m, Words)]
    # 6 % and 1.2 % are told, 0 is not
    assert "side, left: +6.0 %" in words
    assert "hem, centre front: +1.2 %" in words
    assert not any(w.startswith("side, right") for w in words)
    a = [m for m in p.marks if isinstance(m, Words) and m.text == "A" and m.role == "drape mark"]
    left = middles()[2]
    assert any(abs(m.at[0] - left) < 1.0 and 55.0 < m.at[1] < 85.0 for m in a)
    assert [q.title for q in worst(shown().places, "gap")][-1] == "hem, centre front"
    assert worst(shown().places, "strain along") == []


def test_every_letter_of_the_key_stands_in_a_picture_or_is_said_to_be_hidden() -> None:
    """From behind: of the tight place that faces her left the rear half is seen, and lettered
    there; of the one in the middle of the front nothing."""
    left = np.array([vertex(angle, 70.0) for angle in (30.0, 60.0, 120.0, 150.0)])
    front = np.array([vertex(0.0, 40.0)])
    places = (
        Spot("side, left", left, 0.06, 0.0, 3.0, 0.0),
        Spot("hem, centre front", front, 0.012, 0.0, 0.0, 0.0),
    )
    # most where it is not seen
    field = np.where(hung().points[:, 1] < 0.0, 2.0, 1.0) * fields()["strain across"]
    one = replace(shown(), places=places, fields={**shown().fields, "strain across": field})
    look = look_at(one, ("back",), high=300)
    assert look.looks[0].seen(hung().points[left]).tolist() == [False, False, True, True]
    assert not look.looks[0].seen(hung().points[front]).any()
    marks = [m for m in picture(look, "strain across").marks if isinstance(m, Words)]
    lettered = [m.text for m in marks if m.role == "drape mark"]
    # once in the view and once in the key
    assert lettered.count("A") == 3
    assert lettered.count("B") == 1
    key = [m.text for m in marks if m.role == "drape words"]
    assert "side, left: +6.0 %" in key
    assert "hem, centre front: +1.2 % (hidden from these sides)" in key


def test_no_letter_stands_where_hardly_any_of_it_is() -> None:
    """Seen from behind, of a place that has 6 % in the mean, is a point that has 3.5 % or 1 %."""
    left = np.array([vertex(angle, 70.0) for angle in (30.0, 60.0, 120.0)])
    for there, away in ((0.035, False), (0.01, True)):
        field = fields()["strain across"].copy()
        field[left] = 0.085, 0.085, there
        one = replace(
            shown(),
            places=(Spot("side, left", left, 0.06, 0.0, 3.0, 0.0),),
            fields={**shown().fields, "strain across": field},
        )
        look = look_at(one, ("back",), high=300)
        assert look.looks[0].seen(hung().points[left]).tolist() == [False, False, True]
        words = [m.text for m in picture(look, "strain across").marks if isinstance(m, Words)]
        assert ("side, left: +6.0 % (hidden from these sides)" in words) == away


def test_what_is_touched_at_a_point_is_not_the_place_that_is_pressed_most() -> None:
    at = np.array([vertex(90.0, 70.0)])
    point = Spot("waist, front", at, 0.0, 0.0, 1.0, 2.4, 0.01)
    less = Spot("waist, back", at, 0.0, 0.0, 1.0, 2.4, 0.004)
    band = Spot("shoulder seam, left", at, 0.0, 0.0, 0.2, 0.4, 0.34)
    assert worst((point, band, less), "pressure") == [band]
    assert worst((point, band), "gap")[0] is point
    assert [p.words("pressure") for p in (point, band)] == ["2.40 kPa on 1 %", "0.40 kPa on 34 %"]
    assert less.words("pressure") == "2.40 kPa on under 1 %"
    assert point.words("gap") == "1.0 cm"
    assert replace(point, pressure=0.004).words("pressure") == "0.00 kPa"


def test_the_hem_is_drawn_and_the_body_levels_pass_behind_the_cloth() -> None:
    p = pictured("gap")
    hems = [m for m in p.marks if isinstance(m, Stroke) and m.role == "drape hem"]
    assert len(hems) == 4
    for m in hems:
        y = np.concatenate(m.chains)[:, 1]
        assert y == pytest.approx(np.full(len(y), LOW), abs=0.05)
    assert len(hem(shown().hung)) == 1
    front = middles()[0]
    levels = [m for m in p.marks if m.role == "drape level" and isinstance(m, Stroke)]
    for m in levels:
        (x0, y), (x1, _) = m.chains[0][0], m.chains[0][-1]
        if y < HIGH:
            assert not x0 < front < x1, "over the cloth"
    assert any(c[0, 0] < front < c[-1, 0] for m in levels for c in m.chains if c[0, 1] == 105.0)


@pytest.mark.parametrize("quantity", QUANTITIES)
def test_every_picture_bears_its_cautions_and_what_is_left_out(quantity: str) -> None:
    p = pictured(quantity)
    words = " ".join(m.text for m in p.marks if isinstance(m, Words))
    assert "A picture from a model, not a promise" in words
    assert "Left out: the waistband's facing; the zip." in words
    assert "The hem was not folded." in words
    assert "not a promise" in p.words
    assert "the zip" in p.words


def test_the_legend_has_the_colours_in_order_in_colour_and_in_grey() -> None:
    p = pictured("gap")
    boxes = [
        m.chains[0] for m in p.marks if isinstance(m, Stroke) and m.role == "drape legend"
        and m.closed
    ]  # fmt: skip
    assert len(boxes) == 8
    image = Image.open(BytesIO(png(p)))
    grey = image.convert("L")
    k = p.per_cm / SHARP
    found = []
    for n, box in enumerate(boxes):
        x, y = box.mean(axis=0)
        at = (int((x - p.left) * k), int((p.top - y) * k))
        assert image.getpixel(at) == tuple(ramp(8)[n])
        found.append(int(np.asarray(grey)[at[1], at[0]]))
    assert found == sorted(found, reverse=True)
    assert len(set(found)) == 8


def test_lengths_are_in_the_unit_of_the_client() -> None:
    cm, inches = ([m.text for m in pictured("gap", u).marks if isinstance(m, Words)]
                  for u in ("cm", "in"))  # fmt: skip
    assert "20 cm" in cm
    assert "8 in" in inches
    assert not [w for w in inches if re.search(r"\bcm\b", w)]
    # 105 cm are 41.34 in: to the eighth
    assert "41 3/8 in" in inches


def test_the_scale_bar_is_as_long_as_it_says() -> None:
    for unit, long in (("cm", 20.0), ("in", 8 * 2.54)):
        bar = [m for m in pictured("gap", unit).marks if m.role == "drape bar"]
        x0, _, x1, _ = bounds(tuple(bar))
        assert x1 - x0 == pytest.approx(long)


def test_a_png_is_as_the_picture_and_few_tones_keep_paper_white() -> None:
    p = pictured("strain across")
    high, wide = (n // SHARP for n in p.pixels.shape[:2])
    whole, few = (Image.open(BytesIO(png(p, few=f))) for f in (False, True))
    assert whole.size == few.size == (wide, high)
    apart = np.abs(
        np.asarray(whole.convert("RGB")).astype(int) - np.asarray(few.convert("RGB")).astype(int)
    )
    assert np.quantile(apart, 0.99) <= 8
    assert few.convert("RGB").getpixel((0, 0)) == (255, 255, 255)
    assert len(png(p, few=True)) < len(png(p))


def test_the_svg_is_whole_and_speaks() -> None:
    text = svg(pictured("strain across"), "drape-skirt")
    root = ElementTree.fromstring(text)
    ns = "{http://www.w3.org/2000/svg}"
    assert root.get("id") == "drape-skirt"
    wide, high = map(float, (root.get("viewBox") or "").split()[2:])
    image = root.find(f"{ns}image")
    assert image is not None
    assert float(image.get("width") or 0) == pytest.approx(wide, abs=1e-3)
    assert (image.get("href") or "").startswith("data:image/png;base64,")
    told = root.findtext(f"{ns}desc") or ""
    assert "side, left +6.0 %" in told
    assert "2 vertical fold on the back" in told
    steps = [e for e in root.iter(f"{ns}path") if e.get("class") == "drape-step"]
    assert len(steps) >= 3
    assert "http" not in re.sub(r'xmlns="[^"]+"', "", text)
    del high


def test_a_single_view_is_a_picture_too() -> None:
    one = picture(look_at(shown(), ("back",), high=300), "gap")
    words = [m.text for m in one.marks if isinstance(m, Words)]
    assert "Back" in words
    assert "Front" not in words
    k = next(m for m in one.marks if isinstance(m, Words) and m.text == "Back").at[0]
    assert band(colour(one, float(k), LOW + 25.0), 8) == 3


def test_its_extent_is_known_before_it_is_pictured() -> None:
    for unit in ("cm", "in"):
        letter = 4.5
        p = picture(seen(), "gap", unit, letter)
        x0, y0, x1, y1 = bounds(p.marks)
        wide, high = extent(seen(), "gap", unit, letter)
        assert high == pytest.approx(y1 - y0, abs=0.01)
        assert wide >= x1 - x0 - 0.01
        assert wide == pytest.approx(x1 - x0, abs=0.5)


def test_cloth_of_which_nothing_is_known_is_white() -> None:
    gap = fields()["gap"]
    gap[shown().hung.points[:, 2] > 80.0] = np.nan
    p = picture(look_at(shown(gap=gap), ("front",), high=300), "gap")
    x = float(next(m for m in p.marks if isinstance(m, Words) and m.text == "Front").at[0])
    above, below = colour(p, x + 3.0, 90.0), colour(p, x + 3.0, 72.0)
    assert np.ptp(above) == 0.0
    assert above[0] > 225
    assert band(below, 8) == 4


def test_turned_triangles_show_the_same_side() -> None:
    from dataclasses import replace

    s = shown()
    shell = replace(s.hung.shell, triangles=s.hung.shell.triangles[:, ::-1])
    other = replace(s, hung=replace(s.hung, shell=shell))
    a = look_at(s, ("front",), high=200).looks[0]
    b = look_at(other, ("front",), high=200).looks[0]
    assert (a.kind == b.kind).all()
    assert (a.kind == RIGHT_SIDE).sum() > 0.9 * 24 * 60 * a.frame.per_cm**2


def test_labels_do_not_cover_each_other_and_keep_their_order() -> None:
    # four places that are most at one point of a seam, those of front and back in turn
    spot, letter = np.array([10.0, 0.5]), 1.0
    line = [np.array([10.0, z]) for z in np.arange(-2.0, 12.0, 2.0)]
    labels: list[Label] = []
    for order in (8.0, 12.0, 9.0, 11.0, 8.5):
        labels.append(Label(free_place(spot, order, labels, line, letter, 0.1), order))
    for k, one in enumerate(labels):
        assert one.at[1] >= 0.1
        assert (one.at[0] - spot[0]) * (one.order - spot[0]) >= 0.0
        for other in labels[:k]:
            assert np.abs(one.at - other.at).max() >= APART_BY * letter
            assert (one.at[0] - other.at[0]) * (one.order - other.order) >= 0.0
    # one that nothing stands near stays where it is
    alone = np.array([30.0, 5.0])
    assert np.array_equal(free_place(alone, 30.0, labels, line, letter, 0.1), alone)


def test_names_of_sides_stand_under_a_hem_below_the_floor() -> None:
    low = replace(shown(), hung=replace(hung(), points=hung().points - [0.0, 0.0, 90.0]))
    assert lowest(shown()) == 0.0
    assert lowest(low) < 0.0
    (name, *_) = [
        m for m in picture(look_at(low, ["front"], 120), "gap").marks
        if isinstance(m, Words) and m.text == "Front"
    ]  # fmt: skip
    assert name.at[1] < lowest(low)
