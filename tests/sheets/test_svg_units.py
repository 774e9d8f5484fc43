"""SVG sheets and lays read with the XML parser of the standard library, lengths by hand."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
import shapely

from pinwright.cutting.lay.placing import Lay, placed
from pinwright.cutting.material import Material
from pinwright.draft import style
from pinwright.sheets.export import exported
from pinwright.sheets.lay_svg import lay_svg, write_lay_svg
from pinwright.sheets.picture import picture
from pinwright.sheets.svg import slug, svg_sheet, write_svg
from tests.sheets import lays
from tests.sheets.orders import HEADING, fitted, pieces

NS = "{http://www.w3.org/2000/svg}"


def sizes(root: ElementTree.Element) -> tuple[float, float, float, float]:
    """Width and height in cm, and cm a user unit along and across."""
    w, h = (float(root.attrib[k].removesuffix("cm")) for k in ("width", "height"))
    assert root.attrib["width"].endswith("cm")
    _, _, vw, vh = (float(v) for v in root.attrib["viewBox"].split())
    return w, h, w / vw, h / vh


def lengths(data: str) -> list[float]:
    """Lengths of the subpaths of path data with M, L, C and Z, cubics by 64 chords."""
    found: list[float] = []
    at = start = np.zeros(2)
    for op, numbers in re.findall(r"([MLCZ])([^MLCZ]*)", data):
        v = np.array([float(x) for x in numbers.split()]).reshape(-1, 2)
        if op == "M":
            at = start = v[0]
            found.append(0.0)
        elif op == "L":
            found[-1] += float(np.hypot(*(v[0] - at)))
            at = v[0]
        elif op == "C":
            t = np.linspace(0.0, 1.0, 65)[:, None]
            p = (1 - t) ** 3 * at + 3 * (1 - t) ** 2 * t * v[0] + 3 * (1 - t) * t**2 * v[1]
            p = p + t**3 * v[2]
            found[-1] += float(np.hypot(*np.diff(p, axis=0).T).sum())
            at = v[2]
        else:
            found[-1] += float(np.hypot(*(start - at)))
            at = start
    return found


@pytest.mark.parametrize("name", ["trousers", "jacket"])
def test_lengths_in_the_svg_are_those_of_the_json(tmp_path: Path, name: str) -> None:
    """The net line's length in the SVG against the polylines of the export (0.01 cm chords)."""
    root = ElementTree.parse(svg_sheet(tmp_path / "s.svg", pieces(name), HEADING)).getroot()
    _, _, kx, ky = sizes(root)
    assert (kx, ky) == pytest.approx((1.0, 1.0), abs=1e-9)
    data = exported(fitted(name), style(name).derive)
    told = {}
    for p in data["pieces"]:
        ring = np.array(p["cut_line"])
        told[p["name"], p["side"]] = float(np.hypot(*np.diff(ring, axis=0).T).sum())
    groups = {g.attrib["id"]: g for g in root.iter(f"{NS}g")}
    seen = 0
    for g in groups.values():
        if "data-piece" not in g.attrib:
            continue
        drawn = [
            [p for p in g.iter(f"{NS}path") if p.attrib.get("class") == kind]
            for kind in ("cut-line", "fold-edge")
        ]
        assert [len(some) for some in drawn] in ([1, 0], [1, 1])
        want = told[g.attrib["data-piece"], g.attrib["data-side"]]
        # where a piece stands on the fold it is not cut: both make up its outline
        long = sum(length for some in drawn for p in some for length in lengths(p.attrib["d"]))
        assert long == pytest.approx(want, abs=0.02)
        seen += 1
    assert seen == len(pieces(name))


def test_pieces_are_named_groups_with_their_layers(tmp_path: Path) -> None:
    root = ElementTree.parse(svg_sheet(tmp_path / "s.svg", pieces("jacket"), HEADING)).getroot()
    ids = [e.attrib["id"] for e in root.iter() if "id" in e.attrib]
    assert len(ids) == len(set(ids))
    groups = {g.attrib["id"]: g for g in root.iter(f"{NS}g")}
    # the heading of these orders calls every garment "trousers"
    front = groups["trousers-front-left"]
    assert front.attrib["aria-label"] == "Front, left"
    assert front.attrib["data-side"] == "left"
    inside = {g.attrib["data-layer"] for g in front.iter(f"{NS}g") if "data-layer" in g.attrib}
    assert {"cut", "net", "inside", "marks", "words"} <= inside
    net = groups["trousers-front-left-net"]
    assert all(p.attrib["class"] == "net-line" for p in net.iter(f"{NS}path"))


def test_one_piece_is_one_group(tmp_path: Path) -> None:
    d = pieces("jacket", False)[0]
    path = write_svg(tmp_path / "p.svg", picture(d), "Jacket: front", "jacket-front")
    root = ElementTree.parse(path).getroot()
    tops = [g.attrib["id"] for g in root.findall(f"{NS}g")]
    assert tops == ["jacket-front"]
    assert root.find(f"{NS}title").text == "Jacket: front"  # type: ignore[union-attr]


def test_ids_are_plain() -> None:
    assert slug("Jacket", "front", "left") == "jacket-front-left"
    assert slug("Jacke", "Ärmel, links") == "jacke-armel-links"
    assert slug("2 pieces") == "g-2-pieces"


def outline(group: ElementTree.Element) -> np.ndarray:
    """Corners of a laid piece as the SVG draws it, y downwards."""
    path = next(p for p in group.iter(f"{NS}path") if p.attrib.get("class") == "lay-outline")
    return np.array(
        [[float(x) for x in p.split()] for p in re.findall(r"[ML]([^MLZ]+)", path.attrib["d"])]
    )


@pytest.mark.parametrize("make", [lays.single, lays.folded, lays.remnant])
def test_the_lay_is_true_in_its_svg(tmp_path: Path, make: object) -> None:
    lay, material = make()  # type: ignore[operator]
    root = ElementTree.parse(write_lay_svg(tmp_path / "l.svg", lay, material)).getroot()
    _, _, kx, ky = sizes(root)
    assert (kx, ky) == pytest.approx((1.0, 1.0), abs=1e-9)
    true_to_lay(root, lay)


@pytest.mark.parametrize("make", [lays.single, lays.folded, lays.remnant])
def test_the_fragment_is_the_same_lay_in_cm(make: object) -> None:
    lay, material = make()  # type: ignore[operator]
    root = ElementTree.fromstring(lay_svg(lay, material))
    assert "width" not in root.attrib
    true_to_lay(root, lay)


def true_to_lay(root: ElementTree.Element, lay: Lay) -> None:
    """Every piece there, its corners where the placement puts them but for one common shift."""
    groups = [g for g in root.iter(f"{NS}g") if "lay-piece" in g.attrib.get("class", "").split()]
    assert {g.attrib["data-key"] for g in groups} == {p.key for p in lay.placements}
    shifts = []
    at = {p.key: p for p in lay.placements}
    for g in groups:
        key = g.attrib["data-key"]
        want = placed(lay.template(key), at[key]) * [1.0, -1.0]
        got = outline(g)
        assert len(got) == len(want)
        shift = got - want
        assert np.abs(shift - shift[0]).max() < 2e-4
        shifts.append(shift[0])
    assert np.ptp(np.array(shifts), axis=0) == pytest.approx([0.0, 0.0], abs=2e-4)


def test_the_fragment_can_be_read_without_seeing_it() -> None:
    root = ElementTree.fromstring(lay_svg(*lays.single(), name="cloth-1"))
    assert root.attrib["role"] == "img"
    assert "wool check" in root.attrib["aria-label"]
    said = root.find(f"{NS}desc")
    assert said is not None
    assert said.attrib["id"] == root.attrib["aria-describedby"]
    assert said.text is not None
    assert "used: 89 cm" in said.text
    assert "3 Front, right: face down" in said.text
    assert "9 Collar: hold back: cut after the fitting" in said.text
    titles = {g.attrib["data-key"]: g.find(f"{NS}title") for g in root.iter(f"{NS}g")
              if "data-key" in g.attrib}  # fmt: skip
    assert titles["front-right"].text == "3 Front, right: face down"  # type: ignore[union-attr]
    ids = [e.attrib["id"] for e in root.iter() if "id" in e.attrib]
    assert len(ids) == len(set(ids))
    assert all(i.startswith("cloth-1") for i in ids)


def test_a_style_sheet_decides_the_colours() -> None:
    text = lay_svg(*lays.single())
    assert "style=" not in text
    colours = set(re.findall(r'(?:fill|stroke)="([^"]+)"', text))
    grey = {c for c in colours if re.fullmatch(r"#(..)\1\1|#(.)\2\2", c)}
    assert colours - grey == {"currentColor", "none"}
    classes = {c for found in re.findall(r'class="([^"]+)"', text) for c in found.split()}
    assert {"lay", "lay-piece", "lay-outline", "lay-flaw", "lay-selvedge", "lay-repeat", "lay-kept",
            "lay-after", "lay-right", "lay-left", "lay-grain", "lay-words"} <= classes  # fmt: skip
    assert all(c.startswith("lay") for c in classes)


def test_names_with_signs_do_not_break_the_file() -> None:
    lay, material = lays.remnant()
    odd = Material(name='flannel <"grey" & blue>', remnants=material.remnants)
    root = ElementTree.fromstring(lay_svg(lay, odd))
    assert 'flannel <"grey" & blue>' in root.attrib["aria-label"]


def test_the_picture_holds_the_whole_cloth() -> None:
    root = ElementTree.fromstring(lay_svg(*lays.single()))
    _, _, w, h = (float(v) for v in root.attrib["viewBox"].split())
    for p in root.iter(f"{NS}path"):
        xy = np.array([float(v) for v in re.findall(r"-?[\d.]+", p.attrib["d"])]).reshape(-1, 2)
        assert shapely.box(0, 0, w, h).covers(shapely.MultiPoint(xy))
