"""Hung garments on the page in a real browser: coloured, turned, told, and done without."""

from __future__ import annotations

import re
from base64 import b64decode
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from io import BytesIO
from itertools import combinations, pairwise
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from pinwright.drape.data import Surface
from pinwright.drape.pictures.picture import look_at
from pinwright.drape.pictures.scale import ramp
from pinwright.drape.reading.sign import Sign, cause
from pinwright.web.page import page
from tests.drape.pictures.tube import luminance
from tests.drape.pictures.tube import shown as tube
from tests.web.browser import CHROMIUM, Tab, browser
from tests.web.pages import demo_figure, demo_job, figure_page, read

needed = pytest.mark.skipif(CHROMIUM is None, reason="chromium is not on this machine")

READY = "drapeView.ready.then(v => { window.d = v; return v !== null; })"
WORDS = "document.querySelector('.drape .turn-view').textContent"
PRESSED = (
    "[...document.querySelectorAll('.drape [data-{0}]')].filter(b => b.ariaPressed === 'true')"
    ".map(b => b.textContent)"
)


@cache
def hung_page() -> str:
    tight = (cause("let_out", "tight horizontal folds"),)
    signs = (
        Sign("strained", "hip", "left", 0.06, 0.02, "", "stretched 6.0% across", tight, (1,)),
        Sign("swings", "side seam", "", 2.0, 1.0, "cm", "swings to the back", ()),
        Sign("strained", "knee", "", 0.015, 0.01, "", "stretched 1.5% across", (), wrong=False),
    )
    one = replace(tube(), signs=signs, doubts=("It does not hang at rest.",))
    two = replace(tube(), garment="apron", folds=())
    return page(
        demo_job(),
        figure=demo_figure(),
        hung=[look_at(s, high=200) for s in (one, two)],
    )


@pytest.fixture(scope="module")
def tab(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Tab]:
    with browser(tmp_path_factory.mktemp("drape")) as tab:
        yield tab


def page_file(factory: pytest.TempPathFactory) -> Path:
    path = factory.getbasetemp() / "drape-page.html"
    if not path.exists():
        path.write_text(hung_page(), encoding="utf-8")
    return path


@pytest.fixture
def shown(tab: Tab, tmp_path_factory: pytest.TempPathFactory) -> Tab:
    tab.media(prefers_reduced_motion="reduce", prefers_color_scheme="light")
    tab.faults.clear()
    tab.open(page_file(tmp_path_factory), 1280, 900)
    assert tab.ask(READY), "no view in three dimensions"
    return tab


def drawn(tab: Tab) -> NDArray[np.uint8]:
    url = tab.ask("(d.draw(), d.canvas.toDataURL())")
    return np.asarray(Image.open(BytesIO(b64decode(url.split(",")[1]))).convert("RGBA"))


def at(tab: Tab, x: float, y: float, z: float) -> NDArray[np.float64]:
    """The colour where a point of her, m, y up, is drawn from the front."""
    px, py = tab.ask(
        "(() => { const r = d.canvas.getBoundingClientRect(); return figureView.project("
        f"figureView.matrix(d.now, r.width / r.height, d.size), {x}, {y}, {z}); }})()"
    )
    picture = drawn(tab)
    high, wide = picture.shape[:2]
    found: NDArray[np.float64] = picture[
        int((1 - py) / 2 * high), int((px + 1) / 2 * wide), :3
    ].astype(float)
    return found


def band(colour: NDArray[np.float64], count: int) -> int:
    """The band whose colour, shaded by up to 11 %, is nearest."""
    shades = np.linspace(0.89, 1.0, 12)[None, :, None] * ramp(count)[:, None].astype(float)
    far = np.linalg.norm(shades - colour, axis=2)
    assert far.min() < 4.0, colour
    return int(np.argmin(far.min(axis=1)))


@needed
def test_the_cloth_has_the_colours_of_the_pictures(shown: Tab) -> None:
    # 6 cm to either side of the middle of the front, where the surface is 10.4 cm before the axis
    assert band(at(shown, 0.06, 0.5, 0.104), 7) == 5
    assert band(at(shown, -0.06, 0.5, 0.104), 7) == 1
    shown.ask("(d.go({side: 180, over: 0}, true), 0)")
    assert band(at(shown, 0.06, 0.5, -0.104), 7) == 5
    assert band(at(shown, -0.06, 0.5, -0.104), 7) == 1
    assert shown.faults == []


@needed
def test_another_field_has_its_bands_and_its_legend(shown: Tab) -> None:
    shown.press(".drape [data-field='2']")
    assert shown.ask(PRESSED.format("field")) == ["Gap"]
    # gap 6 cm over 60: at 45 cm high 0.5, at 75 cm 3.5 cm
    assert band(at(shown, -0.06, 0.755, 0.104), 8) == 4
    assert band(at(shown, -0.06, 0.425, 0.104), 8) == 0
    legend = shown.ask("document.querySelector('.drape .turn-levels').innerText").split()
    assert " ".join(legend[:4]) == "Gap between body and"
    assert [w for w in legend if w.replace(".", "").isdigit()] == [
        "12", "8", "5", "3", "2", "1", "0.5",
    ]  # fmt: skip
    tops = shown.ask(
        "[...document.querySelectorAll('.drape-bands i')].map(e => "
        "[e.getBoundingClientRect().top, getComputedStyle(e).backgroundColor])"
    )
    assert [t for t, _ in tops] == sorted(t for t, _ in tops)
    first = [int(v) for v in re.findall(r"\d+", tops[-1][1])]
    assert first == ramp(8)[0].tolist()


@needed
def test_a_step_is_a_dark_line_where_the_field_is_as_much(shown: Tab) -> None:
    shown.press(".drape [data-field='2']")
    shown.ask("(d.go({side: 0, over: 0, nearer: 2}, true), 0)")
    picture = drawn(shown)[:, :, :3].astype(float)
    high, wide = picture.shape[:2]
    for z, dark in ((70.0, True), (60.0, True), (65.0, False)):
        # 3 and 2 cm are steps, 2.5 is none
        px, py = shown.ask(
            "(() => { const r = d.canvas.getBoundingClientRect(); return figureView.project("
            f"figureView.matrix(d.now, r.width / r.height, d.size), -0.06, {z / 100}, 0.104); }})()"
        )
        row, column = (1 - py) / 2 * high, int((px + 1) / 2 * wide)
        column_ = picture[int(row) - 2 : int(row) + 3, column].mean(axis=1)
        assert (column_.min() < 120) == dark, (z, column_)


@needed
def test_garment_cloth_and_folds_can_be_chosen(shown: Tab) -> None:
    marks = (
        "[...document.querySelectorAll('.drape-marks span:not([hidden])')].map(e => e.innerText)"
    )
    shown.ask("(d.draw(), 0)")
    assert "1" in shown.ask(marks)
    # the fold at her back is not seen from the front
    assert "2" not in shown.ask(marks)
    before = drawn(shown)
    shown.press(".drape [data-line='fold']")
    assert (drawn(shown) != before).any(axis=2).sum() > 200
    assert "1" not in shown.ask(marks)
    shown.press(".drape [data-line='cloth']")
    bare = drawn(shown)[:, :, :3].astype(int)
    body = drawn(shown)[:, :, 3] > 250
    assert np.ptp(bare[body], axis=1).max() <= 12, "only the grey body is left"
    shown.press(".drape [data-hung='1']")
    assert shown.ask(PRESSED.format("hung")) == ["Apron"]
    assert "apron" in shown.ask("d.canvas.getAttribute('aria-label')")


@needed
def test_what_lies_between_a_point_and_the_eye_hides_it(shown: Tab) -> None:
    # a square 20 cm wide, square to the line of sight along z, at some place along it
    square = (
        "(z, x = 0) => drapeView.sight([{points: new Float32Array([x - .1, .9, z, x + .1, .9, z, "
        "x + .1, 1.1, z, x - .1, 1.1, z]), corners: [0, 1, 2, 0, 2, 3]}])([0, 1, 0], [0, 1, 4.5])"
    )
    assert shown.ask(f"[.3, .02, 2].map(z => ({square})(z))") == [False, False, False]
    # behind the point, beside the line, and the cloth that the point lies on
    assert shown.ask(f"[[-.3, 0], [.3, .11], [.3, -.5], [.004, 0]].map(q => ({square})(...q))") == (
        [True] * 4
    )


@needed
def test_of_a_tube_that_is_seen_which_faces_the_eye(shown: Tab) -> None:
    for turned in (0, 70, 200):
        shown.ask(f"(d.go({{side: {turned}, over: 0, nearer: 1, lift: 0}}, true), 0)")
        found = shown.ask(
            "(() => { const g = d.model.garments[0], cloth = {points: g.at, corners: g.corners}, "
            f"see = drapeView.sight([d.model, cloth]), a = {turned} * Math.PI / 180; "
            "const eye = [-Math.sin(a) * 4.5, .7, Math.cos(a) * 4.5]; "
            "return Array.from({length: 96}, (_, k) => see([...g.at.subarray(3 * (30 * 96 + k), "
            "3 * (30 * 96 + k) + 3)], eye)); })()"
        )
        # from the back round her right; a point of a tube is seen where its radius faces the eye
        t = np.linspace(-np.pi, np.pi, 96, endpoint=False)
        faces = 4.5 * np.cos(t + np.radians(turned)) - 0.12
        clear = np.abs(faces) > 0.7
        assert (np.array(found) == (faces > 0))[clear].all()
        assert clear.sum() > 80


@needed
def test_a_number_stands_where_its_fold_is_seen_and_letters_are_told(shown: Tab) -> None:
    marks = "[...document.querySelectorAll('.drape-marks span:not([hidden])')]"
    key = "[...document.querySelectorAll('.drape-key div')].map(e => [e.textContent, e.className])"
    shown.ask("(d.go({side: -90, over: 0, nearer: 1, lift: 0}, true), d.draw(), 0)")
    assert shown.ask(key)[0] == ["ASide, left: +6.0 %", ""]
    assert "A" in shown.ask(f"{marks}.map(e => e.textContent)")
    shown.ask("(d.go({side: 90}, true), d.draw(), 0)")
    assert shown.ask(key)[0] == ["ASide, left: +6.0 %", "away"]
    assert "A" not in shown.ask(f"{marks}.map(e => e.textContent)")
    # its shallow end, 50 cm high, is out of the picture: it stands further along, up to 70 cm
    shown.ask("(d.go({side: 0, over: 0, nearer: 6, lift: -.12}, true), d.draw(), 0)")
    assert "1" in shown.ask(f"{marks}.map(e => e.textContent)")
    # nothing is drawn over a letter or number
    shown.ask("(d.go({side: 0, over: 0, nearer: 1, lift: 0}, true), 0)")
    far = shown.ask(
        "(d.mark({...d.model.garments[0], folds: [['1', [0, .5, .12]], ['2', [0, .5, .12]]]}, "
        f"d.model.garments[0].fields[0]), d.draw(), {marks}.map(e => [e.offsetLeft, e.offsetTop]))"
    )
    assert len(far) >= 3
    assert min(np.hypot(*(np.array(a) - b)) for a, b in combinations(far, 2)) >= 20


@needed
def test_keys_turn_it_and_its_words_follow(shown: Tab) -> None:
    shown.middle(".drape canvas")
    shown.ask("d.canvas.focus()")
    for _ in range(2):
        shown.key("ArrowRight")
    shown.until(f"{WORDS} === 'Turned 30° to her left.'")
    label = shown.ask("d.canvas.getAttribute('aria-label')")
    assert "skirt" in label
    assert "Stretch across the grain, %" in label
    assert "Turned 30° to her left." in label
    # the figure's own view stands still
    assert shown.ask("figureView.ready.then(v => v.now.turned)") == 0
    shown.press(".drape [data-side='-90']")
    assert shown.ask(PRESSED.format("side")) == ["Left side"]


@needed
def test_signs_are_numbered_and_stand_under_the_caution_over_the_pictures(shown: Tab) -> None:
    shown.press(".drape [data-hung='0']")
    tops = shown.ask(
        "['.drape-caution', '.drape-doubt', 'ol.drape-signs', 'ul.drape-signs', '.drape-still']"
        ".map(q => document.querySelector('.drape ' + q).getBoundingClientRect().top)"
    )
    assert tops == sorted(tops)
    style = "getComputedStyle(document.querySelector('.drape ol.drape-signs')).listStyleType"
    assert shown.ask(style) == "decimal"
    assert shown.ask("document.querySelectorAll('.drape ol.drape-signs > li').length") == 2
    # WCAG 2.2, 1.4.3: at least 4.5 to 1, in light and in dark
    for look in ("light", "dark"):
        shown.media(prefers_color_scheme=look)
        for q in (".drape-doubt", ".drape-signs > li > ul", ".drape-signs > li > p"):
            colours = shown.ask(
                f"[document.querySelector('.drape {q}'), document.body].map((e, k) => "
                "getComputedStyle(e)[k ? 'backgroundColor' : 'color'].match(/[0-9]+/g).map(Number))"
            )
            light = sorted(luminance(np.array(colours, dtype=np.uint8)))
            assert (light[1] + 0.05) / (light[0] + 0.05) >= 4.5, (look, q)


@needed
def test_it_fits_a_phone_and_a_dense_screen(
    shown: Tab, tmp_path_factory: pytest.TempPathFactory
) -> None:
    shown.open(page_file(tmp_path_factory), 390, 800, sharp=2.0)
    assert shown.ask(READY)
    assert shown.ask("document.documentElement.scrollWidth - innerWidth") <= 0
    assert shown.ask("(d.draw(), d.canvas.width / d.canvas.getBoundingClientRect().width)") == (
        pytest.approx(2, abs=0.02)
    )


@needed
def test_on_paper_the_pictures_stand_for_it(shown: Tab) -> None:
    shown.call("Emulation.setEmulatedMedia", media="print")
    assert shown.ask("getComputedStyle(document.querySelector('.drape-turn')).display") == "none"
    assert shown.ask("document.querySelectorAll('.drape-still img').length") == 4
    assert shown.ask(
        "[...document.querySelectorAll('.drape-still img')].every(e => e.naturalWidth > 200 && "
        "e.getClientRects().length === 1)"
    )
    shown.call("Emulation.setEmulatedMedia", media="")


@needed
@pytest.mark.parametrize(
    "without",
    ["HTMLCanvasElement.prototype.getContext = () => null;", "delete window.DecompressionStream;"],
)
def test_without_it_pictures_and_tables_stand_alone(
    tab: Tab, tmp_path_factory: pytest.TempPathFactory, without: str
) -> None:
    number = tab.call("Page.addScriptToEvaluateOnNewDocument", source=without)["identifier"]
    tab.faults.clear()
    tab.open(page_file(tmp_path_factory), 1280, 900)
    assert not tab.ask(READY)
    tab.call("Page.removeScriptToEvaluateOnNewDocument", identifier=number)
    assert tab.ask("document.querySelector('.drape-turn').getClientRects().length") == 0
    assert tab.ask("document.querySelector('.drape-told table').getClientRects().length") == 1
    assert tab.faults == []


@needed
def test_a_lost_context_comes_back(shown: Tab) -> None:
    shown.ask("(window.lose = d.gl.getExtension('WEBGL_lose_context'), lose.loseContext(), 0)")
    shown.until("document.querySelector('.drape-turn').classList.contains('lost')")
    shown.ask("(setTimeout(() => lose.restoreContext(), 50), 0)")
    shown.until("!document.querySelector('.drape-turn').classList.contains('lost')")
    assert band(at(shown, 0.06, 0.5, 0.104), 7) == 5
    assert shown.faults == []


def test_the_page_is_one_file_whose_numbers_can_be_heard() -> None:
    html = hung_page()
    plain = re.sub(r'href="data:[^"]*"|src="data:[^"]*"', "", html)
    plain = plain.replace('"http://www.w3.org/2000/svg"', "")
    assert not re.findall(r"(?:https?:)?//[a-z0-9.-]+\.[a-z]{2,}", plain, re.IGNORECASE)
    found = read(html)
    assert found.faults == []
    ids = [a["id"] for _, a in found.tags if "id" in a]
    assert len(ids) == len(set(ids))
    text = " ".join(" ".join(found.texts).split())
    for words in ("side, left", "+6.0 %", "0.42 kPa", "Vertical fold on the front"):
        assert words in text
    assert "A picture from a model, not a promise" in text
    assert "Left out: the waistband's facing; the zip." in text
    images = [a for tag, a in found.tags if tag == "img"]
    assert len(images) == 4
    assert all("not a promise" in a["alt"] for a in images)
    assert any("side, left +6.0 %" in a["alt"] for a in images)


def test_signs_are_told_with_what_may_help() -> None:
    found = read(hung_page())
    text = " ".join(" ".join(found.texts).split())
    order = [
        "A picture from a model, not a promise",
        "It does not hang at rest. Do not go by what follows.",
        "Signs, the worst first",
        "Hip, left : stretched 6.0% across (fold 1 on the pictures).",
        "It may need: seam let out or taken in , for “tight horizontal folds",
        "Side seam : swings to the back.",
        "To be watched",
        "Knee : stretched 1.5% across.",
        "No sign of a fault.",  # of the apron
    ]
    at = [text.find(w) for w in order]
    assert -1 not in at, order[at.index(-1)]
    assert at == sorted(at)
    levels = [int(tag[1]) for tag, _ in found.tags if tag in ("h2", "h3", "h4", "h5")]
    assert all(b - a <= 1 for a, b in pairwise(levels))


def test_a_page_on_which_nothing_hangs_has_none_of_it() -> None:
    assert "drape" not in figure_page()
    assert "drape" not in page(demo_job(), hung=[look_at(tube(), ("front",), 60)])
    assert isinstance(tube().hung.body, Surface)
