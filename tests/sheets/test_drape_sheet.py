"""The sheet of hung garments, read back: true to scale, every number there, readable in grey."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from io import BytesIO

import numpy as np
import pypdfium2
import pytest
from pdfminer.high_level import extract_text
from pypdf import PdfReader

from pinwright.drape.pictures.picture import LookedAt, look_at
from pinwright.drape.pictures.shown import CAUTION
from pinwright.drape.reading.sign import Sign, cause
from pinwright.errors import GeometryError
from pinwright.measures.units import CM_PER_INCH, LengthUnit
from pinwright.sheets.drape_sheet import drape_sheet
from pinwright.sheets.tiling import PAPERS, Paper
from tests.drape.pictures.tube import CLOTH, HIGH, LOW, shown
from tests.sheets.figures import heading
from tests.sheets.page_points import CM, read

papers = pytest.mark.parametrize("paper", ["a4", "letter"])
units = pytest.mark.parametrize("unit", ["cm", "in"])


@cache
def seen() -> LookedAt:
    return look_at(shown(), high=400)


@cache
def sheet(unit: LengthUnit = "cm", paper: Paper = "a4") -> bytes:
    return drape_sheet([seen()], heading(unit), paper)


def words(pdf: bytes, *pages: int) -> str:
    return " ".join(extract_text(BytesIO(pdf), page_numbers=list(pages) or None).split())


def scale_of(pdf: bytes, page: int = 0) -> int:
    said = re.search(r"drawn 1:(\d+)", words(pdf, page))
    assert said
    return int(said[1])


@papers
def test_three_pages_of_pictures_and_then_what_was_read(paper: Paper) -> None:
    pdf = sheet("cm", paper)
    pages = PdfReader(BytesIO(pdf)).pages
    assert len(pages) == 4
    for page in pages:
        size = (float(page.mediabox.width) / CM, float(page.mediabox.height) / CM)
        assert size == pytest.approx(PAPERS[paper][::-1], abs=1e-3)
    for k, title in enumerate(("Stretch across", "Stretch along", "Gap between")):
        assert title in words(pdf, k)
        assert CAUTION in words(pdf, k)
        assert "Left out: the waistband's facing; the zip." in words(pdf, k)
        assert len(pages[k].images) == 1
    assert len(pages[3].images) == 0
    assert "page 4 of 4" in words(pdf, 3)


@papers
@units
def test_it_is_drawn_to_the_scale_it_states(unit: LengthUnit, paper: Paper) -> None:
    """The cloth is 24 cm wide and 60 high; the bar 20 cm, or 8 inches, in two boxes."""
    pdf = sheet(unit, paper)
    scale = scale_of(pdf)
    drawn = read(PdfReader(BytesIO(pdf)).pages[0]).paths
    cloth = [
        p
        for p in drawn
        if np.ptp(p[:, 1]) == pytest.approx((HIGH - LOW) / scale, abs=0.03)
        and np.ptp(p[:, 0]) == pytest.approx(2 * CLOTH / scale, abs=0.03)
    ]
    assert len(cloth) == 4
    one = 10.0 if unit == "cm" else 4.0 * CM_PER_INCH
    bar = [p for p in drawn if np.ptp(p[:, 0]) == pytest.approx(one / scale, abs=1e-3)]
    assert len(bar) >= 2
    assert ("20 cm" if unit == "cm" else "8 in") in words(pdf, 0)


def test_the_colours_lie_under_the_lines_that_belong_to_them() -> None:
    """On the paper, the tight half is darker than the other, and the outline runs round both."""
    page = pypdfium2.PdfDocument(sheet())[0]
    dpi = 150
    grey = np.asarray(page.render(scale=dpi / 72).to_pil().convert("L")).astype(float)
    scale = scale_of(sheet())
    drawn = read(PdfReader(BytesIO(sheet())).pages[0]).paths
    cloth = min(
        (
            p
            for p in drawn
            if np.ptp(p[:, 1]) == pytest.approx((HIGH - LOW) / scale, abs=0.03)
            and np.ptp(p[:, 0]) == pytest.approx(2 * CLOTH / scale, abs=0.03)
        ),
        key=lambda p: float(p[:, 0].min()),
    )
    x0, x1 = cloth[:, 0].min(), cloth[:, 0].max()
    y = cloth[:, 1].max() - 0.12

    def at(x: float) -> float:
        row = round((PAPERS["a4"][0] - y) / 2.54 * dpi)
        return float(grey[row, round(x / 2.54 * dpi)])

    wide = x1 - x0
    right, left = at(x0 + 0.25 * wide), at(x0 + 0.75 * wide)
    assert right - left > 60, "in grey print the tight half must stand out"
    assert at(x0 - 0.25) > 250


def test_no_colour_is_needed_for_what_is_drawn_over_the_colours() -> None:
    for page in PdfReader(BytesIO(sheet())).pages:
        assert read(page).colours <= {"g", "G"}


@units
def test_places_levels_folds_and_rest_are_told(unit: LengthUnit) -> None:
    said = words(sheet(unit), 3)
    assert "Ingrid Ångström-Løv: the skirt on the figure" in said
    for text in ("side, left", "side, right", "hem, centre front", "+6.0", "+1.2", "0.42"):
        assert text in said
    assert ("3.0 cm" if unit == "cm" else "1 1/8 in") in said
    assert "Side seam, left" in said
    assert "plumb" in said
    assert "1. Vertical fold on the front" in said
    assert "2. Vertical fold on the back" in said
    assert ("20.0 cm long" if unit == "cm" else "7 7/8 in long") in said
    assert "force left over on a point of its mesh is 0.42 % of a point's weight" in said
    assert "210 steps in 3.2 s" in said
    assert CAUTION in said
    assert "The hem was not folded." in said
    if unit == "in":
        pictures = words(sheet(unit), 0, 1, 2)
        assert not re.search(r"\d cm\b", pictures)


def test_signs_stand_first_with_what_may_help_and_the_caution() -> None:
    tight = (cause("let_out", "tight horizontal folds"),)
    signs = (
        Sign("strained", "hip", "left", 0.05, 0.02, "", "stretched 5.0% across", tight, (2,)),
        Sign("strained", "knee", "", 0.015, 0.01, "", "stretched 1.5% across", (), wrong=False),
    )
    told = replace(shown(), signs=signs, doubts=("It does not hang at rest.",))
    said = words(drape_sheet([look_at(told, high=200)], heading("cm")), 3)
    order = [
        "Signs, the worst first", CAUTION, "It does not hang at rest. Do not go by what follows.",
        "1. Hip, left: stretched 5.0% across (fold 2 on the pictures).",
        "It may need: seam let out or taken in (let_out), for “tight horizontal folds",
        "To be watched: Knee: stretched 1.5% across.", "Place by place",
    ]  # fmt: skip
    found = [said.find(w) for w in order]
    assert -1 not in found, order[found.index(-1)]
    assert found == sorted(found)
    assert "No sign of a fault." in words(sheet(), 3)


def test_layers_that_pass_through_each_other_and_a_waist_pulled_down_stand_first() -> None:
    layers = "Its own layers pass through each other here: kept apart they did not come to rest."
    pulled = "The waist is pulled down with 14.4 times the weight of the cloth: the rise is short."
    plain = shown()
    sign = Sign("strained", "hip", "left", 0.05, 0.02, "", "stretched 5.0% across", ())
    told = replace(
        plain,
        signs=(sign,),
        hung=replace(plain.hung, remarks=(*plain.hung.remarks, pulled, layers)),
    )
    said = words(drape_sheet([look_at(told, high=200)], heading("cm")), 3)
    found = [said.find(w) for w in (CAUTION, layers, pulled, "1. Hip")]
    assert -1 not in found
    assert found == sorted(found)
    assert (said.count(layers), said.count(pulled)) == (1, 1)


def test_folds_have_their_numbers_on_the_pictures() -> None:
    rings = [w for w in words(sheet(), 0).split() if w in ("1", "2")]
    assert {"1", "2"} <= set(rings)


def test_two_garments_have_pages_each() -> None:
    pdf = drape_sheet([seen(), seen()], heading("cm"))
    assert len(PdfReader(BytesIO(pdf)).pages) == 8
    assert "page 8 of 8" in words(pdf, 7)


def test_it_refuses_what_it_cannot_print() -> None:
    with pytest.raises(GeometryError, match="a5"):
        drape_sheet([seen()], heading("cm"), "a5")  # type: ignore[arg-type]
    with pytest.raises(GeometryError, match="hang a garment"):
        drape_sheet([], heading("cm"))
