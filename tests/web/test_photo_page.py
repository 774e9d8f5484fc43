"""The page for marking a photograph, used as a person does: what it writes is what was marked."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageDraw

from pinwright.figure.photographs.places import VIEWS, places
from pinwright.web.photo_page import photo_page
from pinwright.workshop.order import FigureOrder
from tests.web.browser import CHROMIUM, SHIFT, Tab, browser
from tests.web.pages import read

SIZE = (1200, 1600)


def test_it_is_one_whole_file_that_asks_nothing_of_the_network() -> None:
    text = photo_page()
    assert not re.findall(
        r"(?:https?:)?//[a-z0-9.-]+\.[a-z]{2,}",
        text.replace('"http://www.w3.org/2000/svg"', ""),
        re.IGNORECASE,
    )
    found = read(text)
    assert (found.faults, found.open) == ([], [])
    for tag, attrs in found.tags:
        assert tag not in ("link", "iframe", "object", "embed", "base"), tag
        for a in ("src", "href", "action", "srcset"):
            assert not re.match(r"[a-z]+:|//", attrs.get(a, "")), (tag, attrs)
    (policy,) = [a["content"] for t, a in found.tags if a.get("http-equiv")]
    assert policy.startswith("default-src 'none'")
    assert "fetch(" not in text
    assert "XMLHttpRequest" not in text
    ids = [a["id"] for _, a in found.tags if "id" in a]
    assert len(ids) == len(set(ids))
    assert len(text.encode()) < 100_000


def test_it_knows_every_place_with_its_sentence_and_nothing_of_a_client() -> None:
    for view in VIEWS:
        for p in places(view):
            assert f'"name": "{p.name}", "label": "{p.label}", "where": "{p.where}"' in photo_page()


def test_every_control_has_a_name() -> None:
    found = read(photo_page())
    for tag, attrs, words in found.names:
        if tag == "button":
            assert words or attrs.get("aria-label"), attrs
    labels = [words for tag, _, words in found.names if tag in ("label", "legend")]
    for word in ("Picture", "It shows her from the", "Lens to her, cm", "Front", "Left side"):
        assert word in labels
    said = " ".join(found.texts)
    for word in ("consent", "erase", "3.5 m", "100 cm", "plumb line", "Close-fitting", "level"):
        assert word in said


@dataclass
class Desk:
    """The page with a picture on it."""

    tab: Tab
    folder: Path

    def window(self, x: float, y: float) -> tuple[float, float]:
        """Where a px of the picture lies in the window."""
        left, top, wide, tall = self.tab.ask(
            "(() => { const r = document.querySelector('#picture').getBoundingClientRect();"
            "return [r.x, r.y, r.width, r.height]; })()"
        )
        return left + x * wide / SIZE[0], top + y * tall / SIZE[1]

    def put(self, x: float, y: float) -> None:
        self.tab.click(*self.window(x, y))

    def pick(self, name: str) -> None:
        self.tab.press(f"#places [data-name='{name}']")
        self.tab.middle("#stage")

    def text(self) -> str:
        words: str = self.tab.ask("document.querySelector('#text').value")
        return words

    def blocks(self) -> list[dict[str, Any]]:
        found = tomllib.loads(self.text())
        photos: list[dict[str, Any]] = found["figure"]["photographs"] if found else []
        return photos

    def said(self, what: str) -> str:
        words: str = self.tab.ask(f"document.querySelector('#{what}').textContent")
        return words

    def choose(self, name: str = "person.png") -> None:
        self.tab.choose("#file", self.folder / name)
        if name == "person.png":
            self.tab.until("!document.querySelector('#picture').hidden")
            self.tab.middle("#stage")


@pytest.fixture(scope="module")
def window(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    if CHROMIUM is None:
        pytest.skip("chromium is not on this machine")
    folder = tmp_path_factory.mktemp("photo")
    (folder / "marks.html").write_text(photo_page(), encoding="utf-8")
    drawn = Image.new("RGB", SIZE, (150, 158, 150))
    ImageDraw.Draw(drawn).rectangle((450, 100, 750, 1500), fill=(60, 70, 100))
    drawn.save(folder / "person.png")
    Image.new("RGB", (40, 100)).save(folder / "small.png")
    Image.new("RGB", (800, 1000)).save(folder / "other.png")
    (folder / "letter.png").write_text("not a picture", encoding="utf-8")
    with browser(folder) as tab:
        yield Desk(tab, folder)


def fresh(desk: Desk, width: int = 1280, sharp: float = 1.0) -> Desk:
    desk.tab.agree = True
    desk.tab.faults.clear()
    desk.tab.open(desk.folder / "marks.html", width, 950, sharp)
    desk.tab.until("document.querySelector('#places button')")
    desk.tab.dialogs.clear()
    return desk


@pytest.fixture
def desk(window: Desk) -> Iterator[Desk]:
    yield fresh(window)
    assert window.tab.faults == []


@pytest.mark.parametrize(("width", "sharp"), [(1280, 1.0), (500, 2.0), (1920, 1.25)])
def test_what_is_clicked_is_written_in_px_of_the_picture(
    window: Desk, width: int, sharp: float
) -> None:
    desk = fresh(window, width, sharp)
    desk.choose()
    want = {"crown": (600, 100), "floor": (610, 1500), "plumb_top": (900, 80)}
    for at in want.values():
        desk.put(*at)
    desk.put(905, 1400)
    (found,) = desk.blocks()
    shown = desk.tab.ask("document.querySelector('#picture').getBoundingClientRect().width")
    assert found["view"] == "front"
    assert found["size"] == [1200, 1600]
    assert (found["distance"], found["lens"]) == (350, 100)
    assert "outline" not in found
    for name, at in want.items():
        # a click is right to a px of the screen
        assert found["marks"][name] == pytest.approx(at, abs=SIZE[0] / shown + 0.1), name
    assert desk.tab.ask("document.documentElement.scrollWidth - innerWidth") <= 0
    FigureOrder.model_validate({"photographs": [found]})


def test_the_text_has_the_form_the_order_wants(desk: Desk) -> None:
    desk.choose()
    desk.put(600, 100)
    desk.put(610, 1500)
    desk.pick("outline")
    for y in (400, 700, 1000):
        desk.put(455, y)
    pair = r"\[\d+\.\d, \d+\.\d\]"
    assert re.fullmatch(
        r"\[\[figure\.photographs\]\]\n"
        r'view = "front"\nsize = \[1200, 1600\]\ndistance = 350\nlens = 100\n'
        rf"marks = \{{ crown = {pair}, floor = {pair} \}}\n"
        rf"outline = \[{pair}, {pair}, {pair}\]\n",
        desk.text(),
    )
    FigureOrder.model_validate({"photographs": desk.blocks()})


def test_near_by_a_mark_is_put_to_a_pixel(desk: Desk) -> None:
    desk.choose()
    desk.put(600, 100)
    desk.put(610, 1500)
    desk.pick("floor")
    for _ in range(4):
        desk.tab.press("[data-zoom='in']")
    desk.tab.middle("#stage")
    desk.put(613, 1507)
    (found,) = desk.blocks()
    assert found["marks"]["floor"] == pytest.approx([613, 1507], abs=0.5)
    x, y = desk.window(613, 1507)
    scale = desk.tab.ask("document.querySelector('#picture').getBoundingClientRect().width") / 1200
    desk.tab.drag(x, y, 20 * scale, -10 * scale)
    assert desk.blocks()[0]["marks"]["floor"] == pytest.approx([633, 1497], abs=1.0)
    # the glass shows beside the hand what lies under it, and does not stand in the way
    desk.tab.mouse("mouseMoved", x, y)
    assert not desk.tab.ask("document.querySelector('#glass').hidden")
    assert desk.tab.ask(f"document.elementFromPoint({x}, {y}).closest('#sheet') !== null")


def test_all_can_be_done_by_keys(desk: Desk) -> None:
    desk.choose()
    desk.tab.ask("document.querySelector('#stage').focus()")
    desk.tab.key("ArrowDown")
    desk.tab.until("document.querySelector('#places [data-name=crown]').textContent === 'Crownput'")
    for _ in range(60):
        desk.tab.key("ArrowUp", SHIFT)
    desk.tab.key("ArrowRight", SHIFT)
    desk.tab.key("ArrowLeft")
    assert "crown" in desk.tab.ask("document.querySelector('#stage').getAttribute('aria-label')")
    desk.tab.key("Enter")
    desk.tab.key("ArrowDown")
    for _ in range(50):
        desk.tab.key("ArrowDown", SHIFT)
    desk.tab.key("Enter")
    desk.tab.key("s")
    (found,) = desk.blocks()
    # from the middle of what is seen: (600, 800)
    assert found["marks"]["crown"] == pytest.approx([609, 200], abs=1.5)
    assert found["marks"]["floor"] == pytest.approx([600, 1300], abs=1.5)
    states = "[...document.querySelectorAll('#places button')].slice(0, 4).map(b => b.textContent)"
    assert desk.tab.ask(states) == ["Crownput", "Floorput", "Plumb topskipped", "Plumb bottomopen"]
    assert desk.tab.ask("document.querySelector('[aria-current]').dataset.name") == "plumb_bottom"
    desk.pick("floor")
    desk.tab.ask("document.querySelector('#stage').focus()")
    desk.tab.key("Delete")
    assert desk.text() == ""
    assert desk.said("doubt") == "Still to be put: floor."


def test_a_finger_puts_a_mark(desk: Desk) -> None:
    desk.choose()
    for at in ((600, 100), (610, 1500)):
        desk.tab.tap(*desk.window(*at))
    assert desk.blocks()[0]["marks"]["floor"] == pytest.approx([610, 1500], abs=3)


def test_what_cannot_be_is_said_in_one_sentence(desk: Desk) -> None:
    desk.choose("letter.png")
    desk.tab.until("document.querySelector('#wrong').textContent")
    assert desk.said("wrong").startswith("This file is not a picture")
    desk.choose("small.png")
    desk.tab.until("document.querySelector('#wrong').textContent.includes('40 × 100')")
    assert desk.said("wrong").startswith("This picture is too small (40 × 100 px)")
    desk.choose()
    assert desk.said("wrong") == ""
    desk.put(600, 1500)
    desk.put(600, 100)
    assert desk.said("doubt").startswith("The crown lies below the floor")
    assert desk.text() == ""
    for name in ("crown", "floor"):
        desk.pick(name)
        desk.tab.press("#remove")
    for name, at in (("crown", (100, 800)), ("floor", (1100, 900))):
        desk.pick(name)
        desk.put(*at)
    assert desk.said("doubt").startswith("The crown lies 84° off the plumb line over the floor")
    assert desk.text() == ""
    for name in ("crown", "floor"):
        desk.pick(name)
        desk.tab.press("#remove")
    for name, at in (("crown", (600, 100)), ("floor", (600, 1500)), ("plumb_top", (900, 100))):
        desk.pick(name)
        desk.put(*at)
    assert desk.said("doubt").startswith("The plumb line needs both its points")
    desk.pick("plumb_bottom")
    desk.put(900, 1400)
    assert desk.said("doubt") == ""
    desk.pick("shoulder_point_left")
    desk.put(480, 300)
    desk.put(720, 300)
    assert desk.said("doubt").startswith("Left and right look exchanged (shoulder point)")
    desk.tab.ask(
        "(() => { const e = document.querySelector('#distance'); e.value = 'far';"
        "e.dispatchEvent(new Event('input', {bubbles: true})); })()"
    )
    assert desk.said("doubt").startswith("The lens is between 150 and 2000 cm away from her")
    assert desk.text() == ""


def test_the_next_photograph_is_appended(desk: Desk) -> None:
    desk.choose()
    desk.put(600, 100)
    desk.put(610, 1500)
    desk.tab.press("#another")
    assert desk.tab.ask("document.querySelector('input[name=view]:checked').value") == "back"
    assert [b["view"] for b in desk.blocks()] == ["front"]
    desk.tab.press("input[value=left]")
    desk.choose()
    desk.put(590, 110)
    desk.put(600, 1490)
    first, second = desk.blocks()
    assert (first["view"], second["view"]) == ("front", "left")
    assert second["marks"]["crown"] == pytest.approx([590, 110], abs=3)
    FigureOrder.model_validate({"photographs": [first, second]})


def test_nothing_is_kept_unless_it_is_wanted(desk: Desk) -> None:
    kept = "localStorage.getItem('pinwright-photo-marks')"
    desk.choose()
    desk.put(600, 100)
    desk.put(610, 1500)
    text = desk.text()
    assert desk.tab.ask(kept) is None
    desk.tab.press("#keep")
    assert "crown" in desk.tab.ask(kept)
    assert "blob" not in desk.tab.ask(kept)
    fresh(desk)
    assert desk.text() == text
    assert "Choose the same picture again" in desk.said("empty")
    desk.choose("other.png")
    desk.tab.until("document.querySelector('#wrong').textContent")
    assert desk.said("wrong").startswith("This picture has 800 × 1000 px")
    desk.choose()
    assert desk.text() == text
    assert desk.tab.ask("document.querySelectorAll('#over .mark').length") == 2
    desk.tab.press("#keep")
    assert desk.tab.ask(kept) is None


def test_it_warns_before_marks_are_lost(desk: Desk) -> None:
    desk.choose()
    desk.put(600, 100)
    desk.put(610, 1500)
    desk.tab.open(desk.folder / "marks.html", 1280, 950)
    assert desk.tab.dialogs == ["beforeunload"]
    fresh(desk)
    desk.choose()
    desk.put(600, 100)
    desk.put(610, 1500)
    desk.tab.ask("(document.querySelector('#text').dispatchEvent(new ClipboardEvent('copy')), 0)")
    desk.tab.open(desk.folder / "marks.html", 1280, 950)
    assert desk.tab.dialogs == []


def test_another_picture_does_not_take_the_marks_of_this_one(desk: Desk) -> None:
    desk.choose()
    desk.put(600, 100)
    desk.put(610, 1500)
    text = desk.text()
    desk.tab.agree = False
    desk.choose("other.png")
    desk.tab.ask("new Promise(done => setTimeout(done, 200))")
    assert desk.tab.dialogs == ["confirm"]
    assert desk.text() == text
    desk.tab.agree = True
    desk.choose("small.png")
    desk.choose("other.png")
    desk.tab.until("document.querySelector('#doubt').textContent.startsWith('Still to be put')")
    assert desk.text() == ""


def test_a_click_puts_what_is_current_however_near_to_other_marks(desk: Desk) -> None:
    desk.choose()
    for at in ((600, 100), (610, 1500)):
        desk.put(*at)
    sides = {"side_waist_left": (700, 600), "side_waist_right": (500, 600)}
    for name, at in sides.items():
        desk.pick(name)
        desk.put(*at)
    before = desk.blocks()[0]["marks"]
    scale = desk.tab.ask("document.querySelector('#picture').getBoundingClientRect().width") / 1200
    # the outline runs down her side past the waist, 4 px of the screen beside its mark, and on it
    run = [(700 + 4 / scale, y) for y in (400, 590, 600, 610, 800)] + [(700, 600)]
    desk.pick("outline")
    for at in run:
        desk.put(*at)
    (found,) = desk.blocks()
    assert found["marks"] == before
    assert len(found["outline"]) == len(run)
    for got, want in zip(found["outline"], run, strict=True):
        assert got == pytest.approx(want, abs=1 / scale + 0.1)
    # so does a place beside another that is put, be it open or put itself
    for x in (506, 510):
        desk.pick("shoulder_point_right")
        desk.put(x, 604)
        (found,) = desk.blocks()
        put = found["marks"].pop("shoulder_point_right")
        assert put == pytest.approx([x, 604], abs=1 / scale + 0.1)
        assert found["marks"] == before


def test_a_drag_moves_a_mark_and_what_is_current_stays_so(desk: Desk) -> None:
    desk.choose()
    for at in ((600, 100), (610, 1500)):
        desk.put(*at)
    desk.pick("outline")
    for y in (400, 800, 1200):
        desk.put(455, y)
    scale = desk.tab.ask("document.querySelector('#picture').getBoundingClientRect().width") / 1200
    current = "document.querySelector('[aria-current]').dataset.name"
    desk.tab.drag(*desk.window(610, 1500), -20 * scale, 10 * scale)
    desk.tab.drag(*desk.window(455, 400), 0, 50 * scale)
    assert desk.tab.ask(current) == "outline"
    # the outline goes on at its end
    desk.put(455, 1400)
    (found,) = desk.blocks()
    assert found["marks"]["floor"] == pytest.approx([590, 1510], abs=1 / scale + 0.1)
    assert [y for _, y in found["outline"]] == pytest.approx(
        [450, 800, 1200, 1400], abs=1 / scale + 0.1
    )
    # a hand that trembles does not drag
    floor = desk.window(590, 1510)
    desk.tab.drag(*floor, 2, 2)
    (found,) = desk.blocks()
    assert len(found["outline"]) == 5
    assert found["marks"]["floor"] == pytest.approx([590, 1510], abs=1 / scale + 0.1)
