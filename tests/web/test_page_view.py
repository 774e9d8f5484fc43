"""The page in a real browser: nothing covers anything, whole on paper, and clear in every look."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import combinations

import pytest

from tests.web.browser import CHROMIUM, Tab, browser
from tests.web.pages import demo_page

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="chromium is not on this machine")

BOXES = (
    "[...document.querySelectorAll('.stage:not([data-off]) {0}')].filter(e => "
    "e.getClientRects().length && getComputedStyle(e).visibility === 'visible').map(e => "
    "{{ const r = e.getBoundingClientRect(); return [r.left, r.top, r.right, r.bottom]; }})"
)


Show = Callable[[int, int], Tab]


@pytest.fixture(scope="module")
def show(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Show]:
    """The page in a window of so many px."""
    folder = tmp_path_factory.mktemp("page")
    path = folder / "index.html"
    path.write_text(demo_page(), encoding="utf-8")
    with browser(folder) as tab:

        def opened(wide: int, high: int) -> Tab:
            tab.faults.clear()
            tab.open(path, wide, high)
            return tab

        tab.media(prefers_reduced_motion="reduce", prefers_color_scheme="light")
        yield opened


def lie_over(boxes: list[list[float]], by: float = 1.5) -> list[tuple[list[float], list[float]]]:
    return [
        (a, b)
        for a, b in combinations(boxes, 2)
        if min(a[2], b[2]) - max(a[0], b[0]) > by and min(a[3], b[3]) - max(a[1], b[1]) > by
    ]


@pytest.mark.parametrize("garment", ["trousers", "jacket"])
@pytest.mark.parametrize("size", [(1280, 900), (640, 450), (390, 844)])
def test_no_name_lies_over_another(show: Show, garment: str, size: tuple[int, int]) -> None:
    at = show(*size)
    at.press(f".tab[data-garment={garment}]")
    at.press("[data-show=names]")
    boxes = at.ask(BOXES.format(".labels text"))
    assert len(boxes) >= 4
    assert at.ask(BOXES.format(".label .title"))
    assert lie_over(boxes, 4.0) == []
    assert at.faults == []


@pytest.mark.parametrize("garment", ["trousers", "jacket"])
@pytest.mark.parametrize("size", [(1280, 900), (640, 450), (390, 844)])
def test_heads_of_pins_are_clear_of_each_other_and_of_the_tapes(
    show: Show, garment: str, size: tuple[int, int]
) -> None:
    at = show(*size)
    at.press(f".tab[data-garment={garment}]")
    heads = at.ask(BOXES.format(".pin circle"))
    assert len(heads) >= 6
    assert lie_over(heads, 3.5) == []
    left, top = at.ask(
        "(() => { const r = document.querySelector('.stage:not([data-off]) svg.table')"
        ".getBoundingClientRect(); return [r.left + 17, r.top + 17]; })()"
    )
    tips = at.ask(BOXES.format(".pin"))
    for h, t in zip(heads, tips, strict=True):
        # a pin whose place is itself out of the picture may be under the tape
        if t[2] > left + 12 and t[3] > top + 12:
            assert h[0] >= left - 2, h
            assert h[1] >= top - 2, h


def test_every_name_of_a_piece_is_on_paper_and_none_over_another(show: Show) -> None:
    at = show(1280, 900)
    at.call("Emulation.setEmulatedMedia", media="print")
    at.ask("(dispatchEvent(new Event('beforeprint')), 0)")
    for k in (0, 1):
        boxes = at.ask(
            f"[...document.querySelectorAll('.stage')[{k}].querySelectorAll('.label .title, .bar "
            "text')].map(e => { const r = e.getBoundingClientRect(); "
            "return [r.left, r.top, r.right, r.bottom]; })"
        )
        assert len(boxes) > 10
        assert all(b[2] > b[0] for b in boxes)
        assert lie_over(boxes, 3.0) == []
    at.ask("(dispatchEvent(new Event('afterprint')), 0)")
    at.call("Emulation.setEmulatedMedia", media="")


def test_what_is_folded_away_is_open_on_paper_and_closed_after(show: Show) -> None:
    at = show(1280, 900)
    folded = ", ".join(f".{x} details:not([open])" for x in ("notebook", "lays", "checks"))
    closed = f"document.querySelectorAll('{folded}')"
    before = at.ask(f"{closed}.length")
    assert before > 5
    at.ask("(dispatchEvent(new Event('beforeprint')), 0)")
    assert at.ask(f"{closed}.length") == 0
    at.ask("(dispatchEvent(new Event('afterprint')), 0)")
    assert at.ask(f"{closed}.length") == before
    # and where no script runs
    at.call("Emulation.setEmulatedMedia", media="print")
    assert at.ask(
        f"[...{closed}].every(d => d.lastElementChild.getBoundingClientRect().height > 0 && "
        "d.lastElementChild.checkVisibility({contentVisibilityAuto: true}))"
    )
    at.call("Emulation.setEmulatedMedia", media="")


def test_every_row_of_the_checks_is_on_paper_whether_or_not_its_section_was_opened(
    show: Show,
) -> None:
    at = show(1280, 900)
    count = "document.querySelectorAll('.checks tbody tr').length"
    shown = (
        "[...document.querySelectorAll('.checks tbody tr')]"
        ".filter(r => r.getBoundingClientRect().height > 0 && r.checkVisibility()).length"
    )
    for k in (0, 1):
        at.ask(f"(document.querySelectorAll('.group').forEach((d, i) => d.open = i % 2 == {k}), 0)")
        at.call("Emulation.setEmulatedMedia", media="print")
        at.ask("(dispatchEvent(new Event('beforeprint')), 0)")
        assert at.ask(shown) == at.ask(count) > 300
        at.ask("(dispatchEvent(new Event('afterprint')), 0)")
        at.call("Emulation.setEmulatedMedia", media="")


def test_the_numbers_of_the_notes_are_black_on_paper_where_no_ground_is_printed(show: Show) -> None:
    at = show(1280, 900)
    at.call("Emulation.setEmulatedMedia", media="print")
    found = at.ask(
        "[...document.querySelectorAll('.note .head')].map(e => getComputedStyle(e))"
        ".map(s => [s.color, s.backgroundColor])"
    )
    assert len(found) > 8
    assert {tuple(x) for x in found} == {("rgb(0, 0, 0)", "rgba(0, 0, 0, 0)")}
    at.call("Emulation.setEmulatedMedia", media="")


def test_the_tab_key_goes_as_the_eye_does(show: Show) -> None:
    follows = (
        "(() => { const [a, b] = ['.notebook', '.pieces'].map(q => document.querySelector(q)); "
        "const r = a.getBoundingClientRect(), s = b.getBoundingClientRect(); return ["
        "!!(a.compareDocumentPosition(b) & Node.DOCUMENT_POSITION_FOLLOWING), "
        "r.top < s.top - 5 || r.left < s.left - 5]; })()"
    )
    for wide in (1280, 390):
        at = show(wide, 844)
        before, seen_before = at.ask(follows)
        assert before == seen_before == (wide > 1000)


def test_what_is_pressed_is_seen_in_forced_colours(show: Show) -> None:
    at = show(1280, 900)
    at.media(forced_colors="active")
    at.press("#tape")
    outline = "getComputedStyle(document.querySelector('{0}')).outlineStyle"
    assert at.ask(outline.format(".tab[aria-pressed=true]")) == "solid"
    assert at.ask(outline.format(".tab[aria-pressed=false]")) == "none"
    assert at.ask(outline.format("[data-zoom=fit]")) == "none"
    at.ask("(document.activeElement.blur(), 0)")
    assert at.ask(outline.format("#tape")) == "solid"
    at.media(forced_colors="none")
