"""The sheet of the figure, read back: true to scale, every number there, no words over others."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from io import BytesIO
from itertools import combinations

import numpy as np
import pytest
from numpy.typing import NDArray
from pdfminer.high_level import extract_pages, extract_text
from pdfminer.layout import LAParams, LTChar, LTTextLine
from pypdf import PdfReader

from pinwright.errors import GeometryError
from pinwright.figure.photographs.silhouette import Agreement
from pinwright.figure.pictures import heights
from pinwright.measures.units import CM_PER_INCH, LengthUnit
from pinwright.sheets.columns import Section, heading, paragraph, row, set_in_columns
from pinwright.sheets.figure_sheet import figure_sheet
from pinwright.sheets.figure_tables import off
from pinwright.sheets.ink import Words, bounds
from pinwright.sheets.tiling import EDGE, PAPERS, Paper
from tests.sheets.figures import CAUTION, EASES, OPINIONS, client
from tests.sheets.figures import heading as head
from tests.sheets.page_points import CM, read

Array = NDArray[np.float64]
PEOPLE = ("mean", "short", "tall")
people = pytest.mark.parametrize("who", PEOPLE)


@cache
def sheet(who: str, unit: LengthUnit = "cm", paper: Paper = "a4") -> bytes:
    return figure_sheet(client(who), EASES, OPINIONS, CAUTION, head(unit), paper)


def words(pdf: bytes, *pages: int) -> str:
    return " ".join(extract_text(BytesIO(pdf), page_numbers=list(pages) or None).split())


def scale_of(pdf: bytes) -> int:
    said = re.search(r"drawn 1:(\d+)", words(pdf, 0))
    assert said
    return int(said[1])


def lines_on(pdf: bytes) -> list[list[tuple[str, float, float, float, float]]]:
    """By page the lines of text and their boxes, cm; a line is one run of letters as painted."""
    found = []
    # far apart on one line are different words of a table
    for page in extract_pages(BytesIO(pdf), laparams=LAParams(char_margin=1.2, line_margin=0.01)):
        boxes = []
        stack = list(page)
        while stack:
            e = stack.pop()
            if isinstance(e, LTTextLine):
                x0, y0, x1, y1 = (float(v) / CM for v in e.bbox)
                boxes.append((e.get_text().strip(), x0, y0, x1, y1))
            elif hasattr(e, "__iter__"):
                stack += list(e)
        found.append(boxes)
    return found


@people
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_views_are_drawn_to_the_scale_it_states(who: str, paper: Paper) -> None:
    """The crown over the floor of all four, and every level, to half a millimetre."""
    pdf = sheet(who, "cm", paper)
    page = PdfReader(BytesIO(pdf)).pages[0]
    size = (float(page.mediabox.width) / CM, float(page.mediabox.height) / CM)
    assert size == pytest.approx(PAPERS[paper][::-1], abs=1e-3)
    scale, marks = scale_of(pdf), client(who).marks
    drawn = read(page).paths
    high = marks.levels["top"] / scale
    bodies = [p for p in drawn if np.ptp(p[:, 1]) > 0.9 * high and np.ptp(p[:, 0]) > 1.0]
    assert len(bodies) == 4
    floor = min(float(p[:, 1].min()) for p in bodies)
    for p in bodies:
        assert np.ptp(p[:, 1]) == pytest.approx(high, abs=0.05)
        assert p[:, 1].min() == pytest.approx(floor, abs=0.02)
    front = min(bodies, key=lambda p: float(p[:, 0].min()))
    wide = np.ptp(client(who).points[:, 0]) / scale
    assert np.ptp(front[:, 0]) == pytest.approx(wide, abs=0.05)
    level = [p[0, 1] for p in drawn if len(p) == 2 and abs(p[0, 1] - p[1, 1]) < 1e-6]
    for name, z in heights(marks):
        assert min(abs(np.array(level) - floor - z / scale)) < 0.05, name


@people
def test_it_is_drawn_as_large_as_the_paper_takes(who: str) -> None:
    """By hand: A4 across leaves 19 cm less 1.7 of head, 1.6 of foot and 1.1 of words and ends."""
    tall = client(who).marks.levels["top"]
    assert scale_of(sheet(who)) == min(s for s in (8, 10, 12, 15, 20) if tall / s < 14.5)


@people
@pytest.mark.parametrize("unit", ["cm", "in"])
def test_the_bar_is_as_long_as_it_says(who: str, unit: LengthUnit) -> None:
    pdf = sheet(who, unit)
    drawn = read(PdfReader(BytesIO(pdf)).pages[0]).paths
    steps = [p for p in drawn if p[:, 1].min() == pytest.approx(EDGE + 0.7, abs=1e-3)]
    assert len(steps) >= 2
    last = re.search(rf"(\d+) {unit} ", words(pdf, 0)[words(pdf, 0).index("drawn 1:") :])
    assert last
    long = np.ptp(np.concatenate(steps)[:, 0])
    one = 1.0 if unit == "cm" else CM_PER_INCH
    assert long == pytest.approx(int(last[1]) * one / scale_of(pdf), abs=0.05)


@people
@pytest.mark.parametrize("unit", ["cm", "in"])
def test_it_tells_every_measure_and_how_it_is_known(who: str, unit: LengthUnit) -> None:
    said = words(sheet(who, unit))
    for m in client(who).measured:
        assert m.label.removesuffix(" left").removesuffix(" right") in said
    assert said.count("est. ±") >= 20
    assert "taped" in said
    for e in ("Ease of the trousers", "Ease of the jacket", "thigh, right", "hem, left"):
        assert e in said
    assert "Ingrid Ångström-Løv: the figure" in said
    assert "order 2026-014, before the fitting, 4 March 2026" in said
    assert CAUTION in said
    assert f"F{OPINIONS[0][1:]}" in said


def test_numbers_are_those_of_the_figure() -> None:
    """By hand: bust 94.0 on a body of 95.0 lacks 1.0; 0.7 mm is 0.4 sixteenths; 13 mm is 8.2."""
    said = words(sheet("mean"))
    (bust,) = (m for m in client("mean").measured if m.name == "bust_girth")
    boxes = lines_on(sheet("mean"))[1]
    y = next(box[2] for box in boxes if box[0] == "bust girth")
    row = sorted((box[1], box[0]) for box in boxes if abs(box[2] - y) < 0.05 and box[1] < 14.0)
    assert [text for _, text in row] == [
        "bust girth",
        f"{bust.record:.1f}",
        "taped",
        f"{bust.figure:.1f}",
        "+0.7 mm",
    ]
    assert "Bust: 1.0 cm smaller than the body: 94.0 cm over 95.0 cm." in said
    inches = words(sheet("mean", "in"))
    assert "under 1/32 in" in inches
    assert "+1/2 in" in inches
    assert "Bust: 3/8 in smaller than the body: 37 in over 37 3/8 in." in inches


@people
def test_an_inch_client_reads_no_centimetres(who: str) -> None:
    said = words(sheet(who, "in"))
    assert not re.search(r"\d (cm|mm|kg)\b", said)
    assert re.search(r"\d lb\b", said)
    # fractions, as on her tape, and never decimals beside them
    assert not re.search(r"\d\.\d+ in\b", said)


@people
@pytest.mark.parametrize(("unit", "paper"), [("cm", "a4"), ("in", "letter")])
def test_no_words_lie_over_others_or_off_the_paper(
    who: str, unit: LengthUnit, paper: Paper
) -> None:
    wide, high = PAPERS[paper][::-1]
    for boxes in lines_on(sheet(who, unit, paper)):
        assert boxes
        for text, x0, y0, x1, y1 in boxes:
            assert x0 > EDGE - 0.05, text
            assert x1 < wide - EDGE + 0.05, text
            assert y0 > EDGE - 0.3, text
            assert y1 < high - EDGE + 0.3, text
        for (a, ax, ay, aX, aY), (b, bx, by, bX, bY) in combinations(boxes, 2):
            # boxes of letters hold their descenders and air: half of that may be shared
            deep = min(aY, bY) - max(ay, by)
            assert min(aX, bX) - max(ax, bx) < 0.02 or deep < 0.15, (a, b)


@people
def test_letters_can_be_read_at_arms_length(who: str) -> None:
    """8.5 points in the drawing, as on the lay; 9.6 and more elsewhere."""
    for k, page in enumerate(extract_pages(BytesIO(sheet(who)))):
        stack, sizes = list(page), []
        while stack:
            e = stack.pop()
            if isinstance(e, LTChar):
                sizes.append(e.size)
            elif hasattr(e, "__iter__"):
                stack += list(e)
        assert min(sizes) >= (8.5 if k == 0 else 9.6) - 0.01


def test_pages_are_numbered() -> None:
    pdf = sheet("short", "in", "letter")
    count = len(PdfReader(BytesIO(pdf)).pages)
    assert count >= 3
    for k in range(count):
        assert f"page {k + 1} of {count}" in words(pdf, k)


def test_it_is_black_white_and_grey() -> None:
    for page in PdfReader(BytesIO(sheet("mean"))).pages:
        assert read(page).colours <= {"G", "g"}


def test_what_is_off_though_taped_stands_out() -> None:
    f = client("mean")
    some = tuple(replace(m, residual=14.3) if m.name == "waist_girth" else m for m in f.measured)
    told = replace(f, measured=some, doubts=("these cannot all hold.",))
    said = words(figure_sheet(told, {}, (), CAUTION, head()))
    assert "! +14.3 mm" in said
    assert said.count("!") == 2  # and where it is explained
    assert "What does not hold The figure does not come to this measure: waist girth" in said
    assert "These cannot all hold." in said
    assert "Ease of" not in said
    assert "Second opinions" not in said


def test_how_it_agrees_with_photographs_is_told_in_the_clients_unit() -> None:
    seen = Agreement("left", 2, 0.9, 2.54, "at the waist, in front", 0.7, 90, 12, 0.0)
    f = replace(client("mean"), agreements=(seen,))
    said = words(figure_sheet(f, {}, (), CAUTION, head("in")))
    assert "Beside the photographs Photograph 2 (left): the outline does not agree" in said
    assert "she is 1 in fuller than the figure at the waist, in front (70 % of 90" in said
    assert "Beside the photographs" not in words(sheet("mean"))


def test_a_photograph_that_agrees_is_told_too() -> None:
    seen = Agreement("front", 1, 0.1, 0.8, "at the hip, on her left", 1.0, 120, 9, 0.0)
    lower = replace(client("mean").posture, shoulder_right=2.0)
    f = replace(client("mean"), agreements=(seen,), posture=lower)
    said = words(figure_sheet(f, {}, (), CAUTION, head()))
    assert "Photograph 1 (front): the outline agrees with the figure: 100 % of 120" in said
    assert "the right shoulder falls 2.0 cm lower" in said


def test_what_ease_is_too_slight_to_be_remarked_is_told() -> None:
    """The waist's front lacks 0.4 of the 0.5 cm that the back helps; 0.5 / 2.54 x 16 = 3.1."""
    said, inches = words(sheet("mean")), words(sheet("mean", "in"))
    assert "A front or back up to 0.5 cm smaller than the body's is not remarked" in said
    assert "A front or back up to 3/16 in smaller" in inches
    jacket = words(figure_sheet(client("mean"), {"jacket": EASES["jacket"]}, (), CAUTION, head()))
    assert "is not remarked" not in jacket


def test_nothing_is_told_without_sign() -> None:
    m = replace(client("mean").measured[0], residual=-0.004)
    assert off("height", m, "cm") == "0.0 mm"
    assert off("height", m, "in") == "under 1/32 in"
    far = replace(m, residual=-69.85)
    assert off("height", far, "in") == "! -2 3/4 in"  # 69.85 / 25.4 = 2.75
    heavy = replace(m, name="weight", record=60.0, figure=58.5, residual=None)
    assert off("weight", heavy, "cm") == "-1.5 kg"
    assert off("weight", heavy, "in") == "-3 lb"  # 0.45359237 kg to the pound


def test_the_same_figure_gives_the_same_file() -> None:
    again = figure_sheet(client("mean"), EASES, OPINIONS, CAUTION, head())
    assert again == sheet("mean")


def test_an_unknown_paper_is_refused() -> None:
    with pytest.raises(GeometryError, match="not known"):
        figure_sheet(client("mean"), {}, (), CAUTION, head(), "b5")  # type: ignore[arg-type]


def test_columns_go_on_with_their_heading_and_leave_none_alone() -> None:
    """Heights by hand: 40 rows of 0.527 do not fit 10 cm; the heading row comes again."""
    rows = tuple(row([(f"row {k}", 0.0, "start")], 5.0, 0.34) for k in range(40))
    again = row([("measure", 0.0, "start")], 5.0, 0.34)
    table = Section(heading("A table", 5.0), rows, again)
    few = Section(heading("Few", 5.0), (paragraph("one", 5.0), paragraph("two", 5.0)))
    pages = set_in_columns([table, few], 5.0, 10.0)
    said = [[m.text for m in page if isinstance(m, Words)] for page in pages]
    assert [t for page in said for t in page if t.startswith("row")] == [
        f"row {k}" for k in range(40)
    ]
    columns = -(-40 // int((10.0 - 0.527) / 0.527))
    assert sum(page.count("measure") for page in said) == columns
    for page in pages:
        assert bounds(page)[1] >= -1e-9
        assert bounds(page)[3] <= 10.0
    last = next(page for page in said if "Few" in page)
    assert last[last.index("Few") :] == ["Few", "one", "two"]


def test_what_stands_under_a_table_goes_on_without_its_heading_row() -> None:
    """As many rows as fill the column: the note has the next one to itself."""
    again = row([("measure", 0.0, "start")], 5.0, 0.34)
    head = heading("A table", 5.0)
    many = int((10.0 - head[1] - again[1]) / again[1])
    rows = tuple(row([(f"row {k}", 0.0, "start")], 5.0, 0.34) for k in range(many))
    (page,) = set_in_columns([Section(head, rows, again, (paragraph("a key", 5.0),))], 5.0, 10.0)
    said = [m.text for m in page if isinstance(m, Words)]
    assert said == ["A table", "measure", *(f"row {k}" for k in range(many)), "a key"]
    key = next(m for m in page if isinstance(m, Words) and m.text == "a key")
    assert float(key.at[0]) > 5.0
