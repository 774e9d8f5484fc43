"""How to tape: a card for every measure, its words whole, its tape where the figure has it."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from functools import cache
from io import BytesIO
from itertools import combinations

import numpy as np
import pytest
import shapely
import trimesh
from numpy.typing import NDArray
from pdfminer.high_level import extract_text
from pypdf import PdfReader

from pinwright.errors import GeometryError, MeasureError
from pinwright.figure.lines import lines_of
from pinwright.figure.surface import triangles
from pinwright.measures import TERMS
from pinwright.measures.units import LengthUnit
from pinwright.sheets.ink import Drawing, Stroke, Words
from pinwright.sheets.tape_body import looks_of, without_arms
from pinwright.sheets.tape_picture import (
    HIGH,
    STANDING,
    WIDE,
    amount_of,
    card,
    has,
    height_of,
    tape_picture,
)
from pinwright.sheets.tape_places import PLACES, reach
from pinwright.sheets.tape_view import PICTURE, STEP, taped
from pinwright.sheets.taping_sheet import taping_sheet
from pinwright.sheets.tiling import EDGE, PAPERS, Paper
from tests.sheets.figures import client, heading
from tests.sheets.page_points import CM, read

Array = NDArray[np.float64]
SVG = "{http://www.w3.org/2000/svg}"
people = pytest.mark.parametrize("who", ["mean", "short", "tall"])


@cache
def cards(who: str, unit: LengthUnit = "cm", blank: bool = False) -> dict[str, Drawing]:
    f = client(who)
    looks = looks_of(f)
    lines = lines_of(f)
    return {t: card(f, t, unit, lines, looks, blank) for t in TERMS}


def strokes(drawing: Drawing, role: str) -> list[Array]:
    return [c for m in drawing if isinstance(m, Stroke) and m.role == role for c in m.chains]


def test_every_measure_is_shown_or_needs_no_body() -> None:
    assert set(TERMS) - set(PLACES) == {"weight", "heel_height"}
    assert set(PLACES) <= set(TERMS)


@people
@pytest.mark.parametrize("unit", ["cm", "in"])
@pytest.mark.parametrize("blank", [False, True])
def test_words_stay_on_the_card_and_clear_of_each_other(
    who: str, unit: LengthUnit, blank: bool
) -> None:
    for term, drawing in cards(who, unit, blank).items():
        words = [m for m in drawing if isinstance(m, Words)]
        whole = shapely.box(-0.01, 0.0, WIDE + 0.01, height_of(term) + 0.01)
        boxes = [(m.text, shapely.Polygon(m.corners)) for m in words]
        for text, box in boxes:
            assert whole.contains(box), (term, text)
        for (a, one), (b, other) in combinations(boxes, 2):
            assert one.intersection(other).area < 1e-6, (term, a, b)
        assert min(m.size for m in words) >= 0.32  # 9 points


@people
def test_the_picture_keeps_to_its_part_of_the_card(who: str) -> None:
    for term, drawing in cards(who).items():
        drawn = [c for m in drawing if isinstance(m, Stroke) for c in m.chains]
        if term not in PLACES:
            assert not drawn
            continue
        every = np.concatenate([c.reshape(-1, 2) for c in drawn])
        assert every[:, 0].min() > -0.1, term
        assert every[:, 0].max() < PICTURE[0] + 0.1, term
        assert every[:, 1].min() > 0.0, term
        assert every[:, 1].max() < HIGH - 0.75, term
        assert strokes(drawing, "figure tape"), term


@people
def test_the_definition_and_how_it_is_taken_stand_on_the_card_word_for_word(who: str) -> None:
    for term, drawing in cards(who).items():
        said = " ".join(m.text for m in drawing if isinstance(m, Words))
        assert TERMS[term].definition in said
        assert TERMS[term].how in said
        if TERMS[term].sided:
            assert "Her right is shown; tape both sides." in said


@people
def test_a_body_on_a_card_is_one_piece(who: str) -> None:
    """No scraps of hands and arms beside it, only the forearm that is taped; gaps lie within."""
    for term, drawing in cards(who).items():
        rings = [shapely.Polygon(c) for c in strokes(drawing, "figure body")]
        if not rings:
            continue
        largest = shapely.Polygon(max(rings, key=shapely.area).exterior)
        tape = shapely.MultiLineString(strokes(drawing, "figure tape"))
        apart = [r for r in rings if not largest.covers(r)]
        assert len(apart) <= (term == "wrist_girth"), term
        assert all(r.buffer(0.05).covers(tape) for r in apart), term


@people
def test_what_is_not_on_an_arm_is_shown_without_arms(who: str) -> None:
    """At the waist the body is as wide as the skin there by its section, no wider."""
    f = client(who)
    looks, waist = looks_of(f), lines_of(f)["waist"].points[:, 0]
    whole = {s: looks[s, "right"].seen.outline for s in ("front", "back")}
    z = f.marks.levels["waist"]
    level = shapely.LineString([[-200.0, z], [200.0, z]])
    for side, with_arm in whole.items():
        bare = looks[side, "none"].seen.outline  # type: ignore[index]
        assert bare.intersection(level).length == pytest.approx(np.ptp(waist), abs=0.1)
        assert with_arm.intersection(level).length > np.ptp(waist) + 3.0
        for end in ("left", "right"):
            p = f.marks[f"shoulder_point_{end}"][[0, 2]] * [1.0 if side == "front" else -1.0, 1.0]
            assert bare.buffer(0.1).covers(shapely.Point(p))


@pytest.mark.parametrize("who", ["mean", "short", "tall", "full"])
def test_with_its_arms_off_a_body_is_closed(who: str) -> None:
    """By trimesh; an arm of an adult is about 5 % of the body (Winter 2009, from memory)."""
    f = client(who)
    whole = trimesh.Trimesh(f.points, triangles(f.faces), process=False)
    bare = without_arms(f.points, f.faces, f.marks, ("left", "right"))
    mesh = trimesh.Trimesh(bare.points, triangles(bare.faces), process=False)
    mesh.update_faces(mesh.nondegenerate_faces())
    assert mesh.is_watertight
    assert 0.05 < 1.0 - mesh.volume / whole.volume < 0.15
    assert len(bare.rims) == 2


def test_dashes_go_all_the_way_where_a_breast_lies_over_the_tape() -> None:
    """Her right breast, in front of the tape of the under bust: its front is hidden there."""
    f = client("mean")
    looks, lines = looks_of(f, ["under_bust_girth"]), lines_of(f)
    tape = lines["under_bust_girth"].points[:, 0]
    at = looks["front", "none"]

    class Veiled:
        def hidden(self, points: Array, room: float) -> NDArray[np.bool_]:
            veil = (points[:, 0] < 0.0) | (points[:, 0] > 8.0)
            found: NDArray[np.bool_] = at.body.hidden(points, room) | veil
            return found

    veiled = {("front", "none"): replace(at, body=Veiled())}  # type: ignore[arg-type]
    drawn = taped(f, "under_bust_girth", lines, veiled)  # type: ignore[arg-type]
    (dashes,) = strokes(tuple(drawn), "figure tape hidden")
    seen = strokes(tuple(drawn), "figure tape")
    body = np.concatenate(strokes(tuple(drawn), "figure body"))
    low, high = reach("trunk", f.marks)
    size = np.ptp(body[:, 1]) / (min(high, f.marks.levels["top"]) - low)
    assert np.ptp(dashes[:, 0]) == pytest.approx(size * np.ptp(tape), abs=size * STEP)
    assert sum(np.ptp(c[:, 0]) for c in seen) == pytest.approx(8.0 * size, abs=2 * size * STEP)
    rings = [m for m in drawn if isinstance(m, Stroke) and m.role == "figure point"]
    assert len(rings) == 2
    assert all(m.closed and m.fill == 1.0 for m in rings)


@people
def test_what_is_small_is_drawn_near(who: str) -> None:
    base = np.concatenate(strokes(cards(who)["neck_base_girth"], "figure tape"))
    assert np.ptp(base[:, 0]) > 1.5
    drop = cards(who)["worn_waist_drop"]
    (tape,) = strokes(drop, "figure tape")
    assert np.ptp(tape[:, 1]) > 0.5
    upper, lower = sorted((c[0, 1] for c in strokes(drop, "figure leader")), reverse=True)
    assert [upper, lower] == pytest.approx([tape[:, 1].max(), tape[:, 1].min()], abs=1e-6)
    at = {m.text: m.at[1] for m in drop if isinstance(m, Words)}
    assert upper < at["waist"] < upper + 0.3
    assert lower - 0.6 < at["top of the trousers"] < lower
    assert "(for example)" in at  # this client wears them at the waist


@people
def test_a_slope_is_written_down_as_an_angle_or_as_a_drop_over_a_length(who: str) -> None:
    drawing = cards(who, "in", True)["shoulder_slope"]
    said = [m.text for m in drawing if isinstance(m, Words)]
    assert said[-8:] == [
        "right",
        "° or drop",
        "in over",
        "in",
        "left",
        "° or drop",
        "in over",
        "in",
    ]
    lines = [c for c in strokes(drawing, "") if len(c) == 2]
    assert len(lines) == 6
    assert min(np.ptp(c[:, 0]) for c in lines) > 1.0
    body = np.concatenate(strokes(drawing, "figure body"))
    assert max(m.at[1] for m in drawing[-14:] if isinstance(m, Words)) + 0.4 < body[:, 1].min()


@people
def test_tapes_lie_at_their_height_on_the_figure(who: str) -> None:
    """The picture's scale by hand: its part of the body fills the height, or the width limits."""
    marks = client(who).marks
    for term, level in (("waist_girth", "waist"), ("bust_girth", "bust"), ("hip_girth", "hip")):
        drawing = cards(who)[term]
        (fill,) = (m for m in drawing if isinstance(m, Stroke) and m.role == "figure body")
        body = np.concatenate(fill.chains)
        low, high = reach(PLACES[term].part, marks)
        top = min(high, marks.levels["top"])
        size = np.ptp(body[:, 1]) / (top - low)
        tape = np.concatenate(strokes(drawing, "figure tape"))
        assert np.ptp(tape[:, 1]) < 1e-6
        at = low + (tape[0, 1] - body[:, 1].min()) / size
        assert at == pytest.approx(marks.levels[level], abs=0.3), term


def test_what_lies_behind_her_is_dashed_and_thin() -> None:
    """The neck base rises to the nape: seen from the front, its back half is hidden."""
    drawing = cards("mean")["neck_base_girth"]
    front = np.concatenate(strokes(drawing, "figure tape"))
    back = np.concatenate(strokes(drawing, "figure tape hidden"))
    assert back[:, 1].mean() > front[:, 1].mean() + 0.1
    hidden = [m for m in drawing if isinstance(m, Stroke) and m.role == "figure tape hidden"]
    shown = [m for m in drawing if isinstance(m, Stroke) and m.role == "figure tape"]
    assert all(m.dash for m in hidden)
    assert not any(m.dash for m in shown)
    assert max(m.weight for m in hidden) * 4 < min(m.weight for m in shown)


@pytest.mark.parametrize("term", ["bust_girth", "waist_girth", "hip_girth", "neck_girth"])
def test_a_closed_tape_is_drawn_alike_wherever_it_begins(term: str) -> None:
    f = client("mean")
    lines = dict(lines_of(f))
    looks = looks_of(f, [term])
    whole = lines[term]
    told = []
    for begun in range(0, len(whole.points), 7):
        lines[term] = replace(whole, points=np.roll(whole.points, -begun, axis=0))
        drawn = [m for m in taped(f, term, lines, looks) if isinstance(m, Stroke)]
        seen, hidden = (
            [c for m in drawn if m.role == role for c in m.chains]
            for role in ("figure tape", "figure tape hidden")
        )
        assert len(seen) <= 2, begun
        assert len(hidden) == 1, begun
        told.append([sum(float(np.ptp(c[:, 0])) for c in some) for some in (seen, hidden)])
    # to what the tape is looked at, at both ends of a stretch
    assert np.ptp(told, axis=0).max() < 2.0 * STEP * 0.15


@people
def test_arcs_are_shown_from_where_they_lie(who: str) -> None:
    for term, drawing in cards(who).items():
        if not term.endswith("_arc"):
            continue
        seen = sum(np.ptp(c[:, 0]) for c in strokes(drawing, "figure tape"))
        hidden = sum(np.ptp(c[:, 0]) for c in strokes(drawing, "figure tape hidden"))
        assert seen > 5.0 * hidden, term


@people
def test_a_leg_is_taped_on_her_right(who: str) -> None:
    """Her right is at the left of a picture from the front, at the right of one from the back."""
    for term in ("knee_girth", "mid_thigh_girth", "thigh_girth", "outside_leg", "upper_arm_girth"):
        tape = np.concatenate(strokes(cards(who)[term], "figure tape"))
        aside = float(tape[:, 0].mean()) - PICTURE[0] / 2.0
        assert aside < 0.0 if PLACES[term].side == "front" else aside > 0.0, term


def test_the_figure_says_what_it_has_in_the_clients_unit() -> None:
    f = client("mean")
    (waist,) = (m for m in f.measured if m.name == "waist_girth")
    assert has(f.measured, "waist_girth", "cm") == f"On the figure: {waist.figure:.1f} cm"
    eighths = round(waist.figure / 2.54 * 8)
    assert has(f.measured, "waist_girth", "in").startswith(f"On the figure: {eighths // 8}")
    assert has(f.measured, "heel_height", "cm") == ""
    assert amount_of("shoulder_slope", 20.55, "in") == "20.6°"
    assert amount_of("weight", 60.0, "in") == "132 lb"  # 60 / 0.45359237 = 132.28
    assert amount_of("weight", 60.0, "cm") == "60.0 kg"
    assert amount_of("height", 170.0, "in") == "66 7/8 in"  # 66.93


@pytest.mark.parametrize("unit", ["cm", "in"])
@pytest.mark.parametrize("term", ["bust_girth", "outside_leg", "total_crotch_length", "weight"])
def test_a_card_as_svg_says_what_it_shows(term: str, unit: LengthUnit) -> None:
    text = tape_picture(client("mean"), term, unit, "page")
    root = ET.fromstring(text)
    assert root.attrib["id"] == f"page-{term.replace('_', '-')}"
    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert desc is not None
    assert title.text == f"How to tape: {TERMS[term].label}"
    assert TERMS[term].how in (desc.text or "")
    assert (STANDING in (desc.text or "")) == (term in PLACES)
    assert root.attrib["aria-labelledby"] == title.attrib["id"]
    wide = float(root.attrib["viewBox"].split()[2])
    for e in root.iter(f"{SVG}text"):
        assert float(e.attrib["font-size"]) * 320.0 / wide >= 10.0  # read at 320 px
        assert e.attrib["fill"] == "currentColor"
    if unit == "in":
        assert not re.search(r"\d (cm|kg)<", text)


def test_a_measure_that_there_is_not_is_refused() -> None:
    with pytest.raises(MeasureError, match="bust_girth"):
        tape_picture(client("mean"), "bust_girt", "cm")


@pytest.mark.parametrize(
    ("who", "paper"), [("mean", "a4"), ("short", "letter"), ("tall", "letter")]
)
def test_the_sheet_has_every_card_six_to_a_page(who: str, paper: Paper) -> None:
    pdf = taping_sheet(client(who), heading("in"), paper)
    pages = PdfReader(BytesIO(pdf)).pages
    assert len(pages) == 8  # 47 with a body and two half cards in one place
    said = [" ".join(extract_text(BytesIO(pdf), page_numbers=[k]).split()) for k in range(8)]
    for k, words in enumerate(said):
        assert f"Ingrid Ångström-Løv, order 2026-014, 4 March 2026, page {k + 1} of 8" in words
        assert STANDING in words
        assert not re.search(r"\d (cm|kg)\b", words)
    every = " ".join(said)
    for t in TERMS.values():
        assert f"{t.label[:1].upper()}{t.label[1:]}" in every
        assert t.definition in every
        assert t.how in every
    wide, high = PAPERS[paper]
    for page in pages:
        found = read(page)
        assert float(page.mediabox.width) / CM == pytest.approx(wide, abs=1e-3)
        points = np.concatenate(found.paths)
        assert (points.min(axis=0) > EDGE - 0.11).all()
        assert (points.max(axis=0) < np.array([wide, high]) - EDGE + 0.11).all()
        assert found.colours <= {"G", "g"}


def test_an_unknown_paper_is_refused() -> None:
    with pytest.raises(GeometryError, match="not known"):
        taping_sheet(client("mean"), heading(), "b5")  # type: ignore[arg-type]
