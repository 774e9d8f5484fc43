"""The figure on the page in a real browser: it is drawn, turns as told, and can be done without."""

from __future__ import annotations

import re
from base64 import b64decode
from collections.abc import Iterator
from io import BytesIO
from itertools import pairwise
from math import cos, radians, sin
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from tests.web.browser import CHROMIUM, CTRL, SHIFT, Tab, browser
from tests.web.pages import demo_figure, figure_page, read

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="chromium is not on this machine")

VIEW = "document.querySelector('.turn-view').textContent"
READY = "figureView.ready.then(v => { window.v = v; return v !== null; })"


@pytest.fixture(scope="module")
def tab(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Tab]:
    folder = tmp_path_factory.mktemp("figure")
    (folder / "index.html").write_text(figure_page(), encoding="utf-8")
    with browser(folder) as tab:
        yield tab


@pytest.fixture
def shown(tab: Tab, tmp_path_factory: pytest.TempPathFactory) -> Tab:
    tab.media(prefers_reduced_motion="reduce", prefers_color_scheme="light")
    tab.faults.clear()
    tab.open(page_file(tmp_path_factory), 1280, 900)
    assert tab.ask(READY), "no view in three dimensions"
    return tab


def page_file(factory: pytest.TempPathFactory) -> Path:
    path = factory.getbasetemp() / "figure-page.html"
    if not path.exists():
        path.write_text(figure_page(), encoding="utf-8")
    return path


def drawn(tab: Tab) -> NDArray[np.bool_]:
    """Where the canvas is opaque: the body, and the floor under it."""
    url = tab.ask("(v.draw(), v.canvas.toDataURL())")
    picture = Image.open(BytesIO(b64decode(url.split(",")[1]))).convert("RGBA")
    found: NDArray[np.bool_] = np.asarray(picture)[:, :, 3] > 250
    return found


def test_the_matrix_is_that_of_a_lens_four_and_a_half_metres_away(shown: Tab) -> None:
    def at(view: str, point: tuple[float, float, float], wide: float = 1.0) -> list[float]:
        found: list[float] = shown.ask(
            f"figureView.project(figureView.matrix({{turned: 0, over: 0, nearer: 1, lift: 0, "
            f"{view}}}, {wide}, {{tall: 1.7, round: 0.4}}), {', '.join(map(str, point))})"
        )
        return found

    # by hand: the body's height fills 1 / 1.09 of the picture at the distance of its middle
    f = 4.5 / (1.09 * 0.85)
    assert at("", (0, 0.85, 0)) == pytest.approx([0, 0], abs=1e-6)
    assert at("", (0, 1.7, 0)) == pytest.approx([0, 1 / 1.09], abs=1e-6)
    assert at("", (0.3, 0.85, 0)) == pytest.approx([f * 0.3 / 4.5, 0], abs=1e-6)
    assert at("", (0.3, 0.85, 0), 2.0) == pytest.approx([f * 0.3 / 4.5 / 2, 0], abs=1e-6)
    # what is nearer to the lens is larger
    assert at("", (0.3, 0.85, 0.5)) == pytest.approx([f * 0.3 / 4.0, 0], abs=1e-6)
    # turned to her left, her front comes to lie on the right of the picture
    assert at("turned: 90", (0, 0.85, 0.2)) == pytest.approx([f * 0.2 / 4.5, 0], abs=1e-6)
    # and her left hand goes back, away from the lens
    deep = 4.5 + 0.4 * sin(radians(30))
    assert at("turned: 30", (0.4, 0.85, 0)) == pytest.approx(
        [f * 0.4 * cos(radians(30)) / deep, 0], abs=1e-6
    )
    # from above, what lies in front of her middle is seen lower
    near = 4.5 - 0.2 * cos(radians(30))
    assert at("over: 30", (0, 0.85, 0.2)) == pytest.approx(
        [0, -f * 0.2 * sin(radians(30)) / near], abs=1e-6
    )
    assert at("nearer: 2, lift: 0.3", (0, 1.15, 0)) == pytest.approx([0, 0], abs=1e-6)
    assert at("nearer: 2", (0.3, 0.85, 0)) == pytest.approx([2 * f * 0.3 / 4.5, 0], abs=1e-6)


def test_the_view_is_told_in_words(shown: Tab) -> None:
    def told(turned: int, over: int = 0, nearer: float = 1.0) -> str:
        words: str = shown.ask(
            f"figureView.told({{turned: {turned}, over: {over}, nearer: {nearer}}})"
        )
        return words

    assert told(0) == "Seen from the front."
    assert told(360) == "Seen from the front."
    assert told(180) == told(-180) == "Seen from the back."
    assert told(90) == "Seen from her right side."
    assert told(270) == told(-90) == "Seen from her left side."
    assert told(30) == "Turned 30° to her left."
    assert told(345, 10, 2.0) == "Turned 15° to her right, from 10° above, 2.0 times nearer."


def test_the_body_is_drawn_as_tall_as_it_should_be_and_faces_the_right_way(shown: Tab) -> None:
    front = drawn(shown)
    assert 0.08 < front.mean() < 0.35
    rows = np.flatnonzero(front.any(axis=1))
    # the crown at 1 / 1.09 of the half height; the toes come nearer, so they are lower
    height = len(front)
    assert rows[0] == pytest.approx(height * (1 - 1 / 1.09) / 2, abs=0.01 * height)
    shown.press("[data-side='90']")
    assert shown.ask("Math.round(v.now.turned)") == 90
    # seen from her right side her toes point to the right of the picture
    side = drawn(shown)
    floor = np.flatnonzero(side.any(axis=1))[-1]
    feet = np.flatnonzero(side[floor - height // 40 : floor + 1].any(axis=0))
    heads = np.flatnonzero(side[: height // 5].any(axis=0))
    assert feet.max() - heads.mean() > heads.mean() - feet.min()


def test_keys_buttons_and_drags_turn_it(shown: Tab) -> None:
    shown.middle(".turn canvas")
    shown.ask("v.canvas.focus()")
    shown.key("ArrowRight")
    assert shown.ask("v.now.turned") == pytest.approx(15)
    shown.key("ArrowLeft", SHIFT)
    assert shown.ask("v.now.turned") == pytest.approx(10)
    for _ in range(9):
        shown.key("ArrowUp")
    assert shown.ask("v.now.over") == 40, "no steeper"
    shown.key("0")
    assert shown.ask("[v.now.turned, v.now.over, v.now.nearer]") == [0, 0, 1]
    x, y = shown.middle(".turn canvas")
    shown.drag(x, y, 120, 0)
    # half a degree a px: what is under the hand goes along, so her front goes to the right
    assert shown.ask("v.now.turned") == pytest.approx(60)
    shown.until(f"{VIEW} === 'Turned 60° to her left.'")
    assert "Turned 60° to her left." in shown.ask("v.canvas.getAttribute('aria-label')")
    shown.press("[data-side='-90']")
    shown.until(f"{VIEW} === 'Seen from her left side.'")
    pressed = "[...document.querySelectorAll('.turn [data-side]')].filter(b => b.ariaPressed ==="
    assert shown.ask(f"{pressed} 'true').map(b => b.textContent)") == ["Left side"]


def test_what_is_asked_on_the_way_adds_up(shown: Tab) -> None:
    shown.media(prefers_reduced_motion="no-preference")
    shown.middle(".turn canvas")
    shown.ask("v.canvas.focus()")
    # by a clock of our own: on a busy machine no frame may fall within the turn
    shown.ask(
        "(window.its = [performance.now, requestAnimationFrame, cancelAnimationFrame],"
        "window.clock = performance.now(), window.late = [], performance.now = () => clock,"
        "window.requestAnimationFrame = f => late.push(f),"
        "window.cancelAnimationFrame = id => { if (id) late[id - 1] = () => {}; }, 0)"
    )
    frame = "(clock += 100, late.splice(0).forEach(f => f(clock)), v.now.turned)"
    for _ in range(3):
        shown.key("ArrowRight")
    turned = [shown.ask(frame) for _ in range(4)]
    shown.ask(
        "([performance.now, window.requestAnimationFrame, window.cancelAnimationFrame] = its, 0)"
    )
    assert 0 < turned[0] < turned[1] < 45, "it turns, it does not jump"
    assert turned[-1] == 45
    shown.until(f"{VIEW} === 'Turned 45° to her left.'")
    shown.press("[data-side='-90']")
    shown.until(f"{VIEW} === 'Seen from her left side.'")
    shown.media(prefers_reduced_motion="reduce")


def test_it_comes_nearer_only_so_far_and_lets_the_page_scroll(shown: Tab) -> None:
    shown.middle(".turn canvas")
    shown.ask("v.canvas.focus()")
    for _ in range(12):
        shown.key("+")
    assert shown.ask("v.now.nearer") == 6
    shown.press("[data-nearer='whole']")
    assert shown.ask("v.now.nearer") == 1
    shown.press("[data-nearer='0.7692']")
    assert shown.ask("v.now.nearer") == 1
    x, y = shown.middle(".turn canvas")
    shown.ask("v.canvas.focus({preventScroll: true})")
    before = shown.ask("scrollY")
    wheel = {"type": "mouseWheel", "x": x, "y": y, "deltaX": 0}
    shown.call("Input.dispatchMouseEvent", **wheel, deltaY=60)
    shown.until(f"scrollY > {before}")
    assert shown.ask("v.now.nearer") == 1
    x, y = shown.middle(".turn canvas")
    wheel = {"type": "mouseWheel", "x": x, "y": y, "deltaX": 0}
    shown.call("Input.dispatchMouseEvent", **wheel, deltaY=-50, modifiers=CTRL)
    shown.until("v.now.nearer > 1.1")


def test_it_is_drawn_only_when_something_changes(shown: Tab) -> None:
    shown.ask("(window.count = 0, v.draw = () => { count += 1; }, 0)")
    for _ in range(10):  # what was asked before is drawn yet
        before = shown.ask("count")
        shown.ask("new Promise(done => setTimeout(done, 300))")
        if shown.ask("count") == before:
            break
    else:
        raise AssertionError("it is drawn though nothing changes")
    shown.ask("(window.count = 0, 0)")
    shown.ask("v.canvas.focus({preventScroll: true})")
    shown.key("ArrowRight")
    shown.until("count > 0")
    assert shown.ask("count") == 1
    shown.ask("document.documentElement.dataset.look = 'cloth'")
    shown.until("count === 2")


def test_the_levels_are_named_beside_it_and_can_be_put_away(shown: Tab) -> None:
    names = "[...document.querySelectorAll('.turn-levels span')].filter(e => !e.hidden)"
    said = shown.ask(f"{names}.map(e => e.textContent)")
    waist = demo_figure().figure.marks.levels["waist"]
    assert f"waist {waist:.1f} cm" in said
    # they are put in their places when the body is first drawn, on a busy machine after this
    shown.until(f"new Set({names}.map(e => e.getBoundingClientRect().top)).size > 1")
    tops = shown.ask(f"{names}.map(e => e.getBoundingClientRect().top)")
    assert min(np.diff(tops)) >= 14.9, "none over another"
    assert shown.ask("getComputedStyle(document.querySelector('.turn-levels')).display") != "none"
    shown.press("[data-line='level']")
    shown.until(f"{names}.length === 0")


def test_heights_stand_beside_the_body_however_near_it_is(
    shown: Tab, tmp_path_factory: pytest.TempPathFactory
) -> None:
    for width, height in ((1400, 950), (1240, 900), (500, 900), (360, 780)):
        shown.open(page_file(tmp_path_factory), width, height)
        assert shown.ask(READY)
        for nearer in (1, 3):
            shown.ask(f"(v.go({{nearer: {nearer}, lift: 0}}, true), v.draw(), 0)")
            edge = shown.ask("v.canvas.getBoundingClientRect().right")
            places = shown.ask(
                "[...document.querySelectorAll('.turn-levels span, .turn-levels b')].filter(e => "
                "!e.hidden).map(e => { const r = e.getBoundingClientRect(); "
                "return [r.left, r.right, r.top, r.bottom]; })"
            )
            assert len(places) > 3
            assert min(p[0] for p in places) >= edge, "on the body"
            assert max(p[1] for p in places) <= width
            tops = sorted((p[2], p[3]) for p in places)
            assert all(b[0] >= a[1] - 0.1 for a, b in pairwise(tops))
        # what the numbers are is said over them, and none of them is left out
        assert shown.ask("document.querySelector('.turn-levels').innerText").startswith(
            "Height over the floor"
        )
        assert shown.ask(
            "[...document.querySelectorAll('.turn-levels span:not([hidden]) small')]"
            ".every(e => e.getClientRects().length > 0)"
        )


def test_a_tall_narrow_window_does_not_stretch_it(
    shown: Tab, tmp_path_factory: pytest.TempPathFactory
) -> None:
    for width in (360, 500, 800, 1400):
        shown.open(page_file(tmp_path_factory), width, 2600)
        assert shown.ask(READY)
        wide, tall = shown.ask(
            "(() => { const r = document.querySelector('.turn-stage').getBoundingClientRect();"
            "return [r.width, r.height]; })()"
        )
        assert tall <= 672
        assert tall <= 1.7 * wide


def test_a_strip_that_is_cut_off_says_that_it_goes_on(
    shown: Tab, tmp_path_factory: pytest.TempPathFactory
) -> None:
    cut = []
    for width in (500, 640, 800, 1240, 1400):
        shown.open(page_file(tmp_path_factory), width, 900)
        assert shown.ask(READY)
        goes_on, told = shown.ask(
            "(() => { const e = document.querySelector('.figure-row');"
            "return [e.scrollWidth > e.clientWidth,"
            "document.querySelector('.figure-more')?.getClientRects().length > 0]; })()"
        )
        assert told == goes_on, width
        cut.append(goes_on)
    assert cut[:2] == [True, True]
    assert not cut[-1]


@pytest.mark.parametrize("side", [90, -90])
def test_from_the_side_no_streak_runs_down_her_cheek(
    shown: Tab, tmp_path_factory: pytest.TempPathFactory, side: int
) -> None:
    shown.open(page_file(tmp_path_factory), 1400, 950, sharp=2.0)
    assert shown.ask(READY)
    shown.ask(f"(v.go({{side: {side}, over: 0, nearer: 1, lift: 0}}, true), 0)")
    url = shown.ask("(v.draw(), v.canvas.toDataURL())")
    picture = Image.open(BytesIO(b64decode(url.split(",")[1]))).convert("RGBA")
    tall = picture.height / 1.09
    crown = (picture.height - tall) / 2
    # the cheek: from under the eye to the wing of the nose, in parts of her height from the crown
    rows = np.asarray(picture)[round(crown + 0.074 * tall) : round(crown + 0.084 * tall)]
    for row in rows:
        body = np.flatnonzero(row[:, 3] > 250)
        light = row[body, :3].mean(axis=1)
        if side == 90:
            light = light[::-1]
        # past the very edge, before the ear, the light changes gently: nothing is much darker than
        # what lies 6 px further back
        cheek = light[4 : 2 * len(light) // 5]
        assert (cheek[:-6] / cheek[6:]).min() > 0.8


def test_a_lost_context_is_told_and_comes_back(shown: Tab) -> None:
    shown.ask("(window.lose = v.gl.getExtension('WEBGL_lose_context'), lose.loseContext(), 0)")
    shown.until("document.querySelector('.turn').classList.contains('lost')")
    assert shown.ask("getComputedStyle(document.querySelector('.turn-lost')).display") == "block"
    shown.ask("(setTimeout(() => lose.restoreContext(), 50), 0)")
    shown.until("!document.querySelector('.turn').classList.contains('lost')")
    assert drawn(shown).mean() > 0.08
    assert shown.faults == []


def test_it_is_not_printed_and_the_pictures_are(shown: Tab) -> None:
    shown.call("Emulation.setEmulatedMedia", media="print")
    assert shown.ask("getComputedStyle(document.querySelector('.turn')).display") == "none"
    assert shown.ask("document.querySelector('.figure-row svg').getClientRects().length") == 1
    shown.call("Emulation.setEmulatedMedia", media="")


def test_it_is_sharp_on_a_dense_screen_and_fits_a_phone(
    shown: Tab, tmp_path_factory: pytest.TempPathFactory
) -> None:
    shown.open(page_file(tmp_path_factory), 500, 900, sharp=2.0)
    assert shown.ask(READY)
    assert shown.ask("(v.draw(), v.canvas.width / v.canvas.getBoundingClientRect().width)") == (
        pytest.approx(2, abs=0.01)
    )
    assert shown.ask("document.documentElement.scrollWidth - innerWidth") <= 0
    assert shown.faults == []


@pytest.mark.parametrize(
    "without",
    [
        "HTMLCanvasElement.prototype.getContext = () => null;",
        "delete window.DecompressionStream;",
        "delete window.WebGLRenderingContext; HTMLCanvasElement.prototype.getContext ="
        "() => { throw new Error('not here'); };",
    ],
)
def test_without_it_the_pictures_stand_alone(
    tab: Tab, tmp_path_factory: pytest.TempPathFactory, without: str
) -> None:
    number = tab.call("Page.addScriptToEvaluateOnNewDocument", source=without)["identifier"]
    tab.faults.clear()
    tab.open(page_file(tmp_path_factory), 1280, 900)
    assert not tab.ask(READY)
    tab.call("Page.removeScriptToEvaluateOnNewDocument", identifier=number)
    assert tab.ask("document.querySelector('.turn').getClientRects().length") == 0
    assert tab.ask("document.querySelector('.figure-row svg').getClientRects().length") == 1
    assert tab.faults == []


def test_without_javascript_the_pictures_stand_alone(
    tab: Tab, tmp_path_factory: pytest.TempPathFactory
) -> None:
    tab.call("Emulation.setScriptExecutionDisabled", value=True)
    tab.open(page_file(tmp_path_factory), 1280, 900)
    assert tab.ask("document.querySelector('.turn').getClientRects().length") == 0
    assert tab.ask("document.querySelector('.figure-row svg').getClientRects().length") == 1
    tab.call("Emulation.setScriptExecutionDisabled", value=False)


def test_the_page_with_the_figure_is_one_whole_file() -> None:
    text = figure_page().replace('"http://www.w3.org/2000/svg"', "")
    assert not re.findall(r"(?:https?:)?//[a-z0-9.-]+\.[a-z]{2,}", text, re.IGNORECASE)
    found = read(figure_page())
    assert found.faults == []
    ids = [a["id"] for _, a in found.tags if "id" in a]
    assert len(ids) == len(set(ids))
    for tag, attrs, words in found.names:
        if tag == "button":
            assert words or attrs.get("aria-label"), attrs
    assert figure_page().count('id="figure-model"') == 1
    assert len(figure_page().encode()) < 2_000_000
