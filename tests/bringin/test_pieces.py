"""Named outlines become pieces: nets inside cut lines, darts, seams, corrections, an order."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import shapely

from pinwright.bringin.bringing import BroughtIn, bring_in
from pinwright.bringin.inset import inset
from pinwright.bringin.names import (
    DartNames,
    LineNames,
    MarkNames,
    Names,
    PieceNames,
    SeamNames,
)
from pinwright.bringin.ordering import bring_in_command, order_text, order_with
from pinwright.check import all_checks
from pinwright.draft.brought import STYLE
from pinwright.errors import DraftError, OrderError
from pinwright.fitting.catalogue import all_entries
from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import fit
from pinwright.geometry.outline import signed_area
from pinwright.geometry.path import Path as Curve
from pinwright.pattern.codec import pack, unpack
from pinwright.sheets.drawn import Heading, drawn
from pinwright.sheets.dxf import write_dxf
from pinwright.workshop.order import load

# a skirt front and back, by hand, cm: hem, side, waist (the back with a dart cut in), centre
DRAWING = """<svg xmlns="http://www.w3.org/2000/svg" width="100cm" height="70cm"
 viewBox="0 0 100 70">
 <path id="f" d="M5 65 H30 C30 50 29.5 35 28 25 C27.4 21 26.5 10 26 5 H5 Z"/>
 <path id="b" d="M45 65 H70 C70 50 69.5 35 68 25 C67.4 21 66.5 10 66 5 H58 L56.5 18 L55 5 H45 Z"/>
</svg>"""

NAMES = """
garment = "old skirt"
[[pieces]]
outline = 1
name = "front"
corners = ["hem_centre", "hem_side", "waist_side", "waist_centre"]
edges = ["hem", "side", "waist", "centre"]
cut = "fold"
fold = "centre"
allowance = { hem = 4.0, side = 1.5 }
reserve = { side = 1.0 }
stations = { "side.hip" = [28, 45] }
[[pieces]]
outline = 2
name = "back"
corners = ["hem_centre", "hem_side", "waist_side", "in", "point", "out", "waist_centre"]
edges = ["hem", "side", "waist", "", "", "waist", "centre"]
cut = "fold"
fold = "centre"
stations = { "side.hip" = [68, 45] }
[[pieces.darts]]
name = "back dart"
mouth = ["in", "out"]
apex = "point"
place = "back_waist_dart"
[places]
"side seam" = ["front.side", "back.side"]
jacket_hem = ["front.hem", "back.hem"]
[[seams]]
name = "side"
title = "side seam"
a = "front.side"
b = "back.side"
stations = ["hip"]
hold = "hip"
"""


def written(tmp_path: Path, drawing: str = DRAWING, names: str = NAMES) -> tuple[Path, Path]:
    path, said = tmp_path / "skirt.svg", tmp_path / "skirt.toml"
    path.write_text(drawing)
    said.write_text(names)
    return path, said


def brought(tmp_path: Path, names: str = NAMES) -> BroughtIn:
    return bring_in(*written(tmp_path, names=names))


def test_edges_darts_and_stations_are_where_they_were_drawn(tmp_path: Path) -> None:
    front, back = brought(tmp_path).pieces
    assert [e.name for e in front.edges] == ["hem", "side", "waist", "centre"]
    assert front.edge("hem").length == pytest.approx(25)
    assert front.edge("waist").length == pytest.approx(21)
    assert front.edge("centre").length == pytest.approx(60)
    assert front.edge("side").allowance == 1.5
    assert front.edge("side").reserve == 1.0
    assert front.edge("waist").allowance == 1.0
    assert front.edge("centre").allowance == 0.0
    assert front.point("side:hip") == pytest.approx([28, 45])
    # the back's waist is sewn with its dart closed: 8 and 10 cm, 3 cm taken out
    assert back.edge("waist").length == pytest.approx(18)
    a, b = back.mouth("back dart")
    assert float(np.hypot(*(b - a))) == pytest.approx(3)
    assert back.dart("back dart").apex == pytest.approx([56.5, 52])
    assert signed_area(front.outline(caps=False)) > 0


def test_the_sides_sew_together_and_pass_every_check(tmp_path: Path) -> None:
    found = brought(tmp_path)
    assert found.garment is not None
    assert not [r for r in found.remarks if "longer" in r]
    checks = all_checks(fit(found.garment, ()))
    assert any(c.group == "seams" for c in checks)
    (wrong,) = [c for c in checks if c.verdict == "wrong"]
    # the waist was drawn straight across the dart: closed, it breaks by the dart's own angle
    assert wrong.group == "run-through"
    assert abs(wrong.value) == pytest.approx(2 * np.degrees(np.arctan(1.5 / 13)), abs=1e-6)


def test_a_side_let_out_moves_by_the_amount_and_still_sews(tmp_path: Path) -> None:
    garment = brought(tmp_path).garment
    assert garment is not None
    for side in ("side_seam",):
        after = fit(garment, [Correction("let_out", side, amounts={"amount": 1.0})])
        assert not after.refused
        for name in ("front", "back"):
            before, now = garment.piece(name), after.right.piece(name)
            assert now.point("hem_side") - before.point("hem_side") == pytest.approx(
                [1, 0], abs=0.02
            )
            assert now.edge("hem").length == pytest.approx(26, abs=0.02)
        seams = [c for c in all_checks(after) if c.group == "seams"]
        assert seams
        assert all(c.verdict == "good" for c in seams)


def test_the_hem_and_the_dart_can_be_corrected(tmp_path: Path) -> None:
    garment = brought(tmp_path).garment
    assert garment is not None
    down = fit(garment, [Correction("hem", "jacket_hem", amounts={"amount": 2.0})])
    assert not down.refused
    assert down.right.piece("front").edge("centre").length == pytest.approx(62, abs=0.01)
    deeper = fit(
        garment, [Correction("waist_dart_intake", "back_waist_dart", amounts={"amount": 0.6})]
    )
    assert [r.reason for r in deeper.refused] == []
    a, b = deeper.right.piece("back").mouth("back dart")
    assert float(np.hypot(*(b - a))) == pytest.approx(3.6, abs=0.05)


def test_sides_that_differ_are_kept_and_told(tmp_path: Path) -> None:
    path, said = written(tmp_path, DRAWING.replace("M45 65 H70 C70", "M45 66 H70 L70 65 C70"))
    found = bring_in(path, said)
    told = [r for r in found.remarks if "longer" in r]
    assert told == [
        "side seam, hem_side to hip: back.side is 1.00 cm longer than front.side; it is kept as "
        "ease, so look whether the old pattern means it."
    ]
    assert found.garment is not None
    assert all(
        c.verdict != "wrong" for c in all_checks(fit(found.garment, ())) if c.group == "seams"
    )


def test_a_net_line_lies_inside_a_cut_line_edge_by_edge() -> None:
    # a rectangle 30 by 40: hem in by 4, sides by 1.5 and 0, top by 1
    pts = [(0, 0), (30, 0), (30, 40), (0, 40), (0, 0)]
    paths = [Curve.line(a, b) for a, b in pairwise(pts)]
    net = inset(paths, [4.0, 1.5, 1.0, 0.0], "It")
    assert [p.length for p in net] == pytest.approx([28.5, 35, 28.5, 35])
    assert net[0].start == pytest.approx([0, 4])
    # a quarter disc of radius 20: the round edge in by 2, the straight ones by 1
    disc = [Curve.line((0, 0), (20, 0)), Curve.arc((0, 0), 20, 0, 90), Curve.line((0, 20), (0, 0))]
    straight, round_, _ = inset(disc, [1.0, 2.0, 1.0], "It")
    # they meet where y = 1 on the circle of radius 18
    assert straight.length == pytest.approx((18**2 - 1) ** 0.5 - 1, abs=1e-4)
    assert round_.length == pytest.approx(18 * (np.pi / 2 - 2 * np.arcsin(1 / 18)), abs=2e-3)


def test_our_own_cut_lines_come_back_to_their_net_lines(tmp_path: Path) -> None:
    """Brought in, cut out again with DXF, and brought in by the cut line with the allowances."""
    front, _ = brought(tmp_path).pieces
    garment = brought(tmp_path).garment
    assert garment is not None
    own = drawn(fit(garment, ()), Heading("A", "1", "skirt", "none", "today"))
    path = write_dxf(tmp_path / "own.dxf", own, Heading("A", "1", "skirt", "none", "today"))
    outlines = bring_in(path).outlines
    at = next(i for i, o in enumerate(outlines, 1) if o.group == "front" and o.label == "1")
    k = len(outlines[at - 1].corners)
    # the hem's mirrored corner puts one more corner into the side; find the four by their places
    want = {
        "hem_centre": (0, -4),
        "hem_side": (27.5, -4),
        "waist_side": (23, 61),
        "waist_centre": (0, 61),
    }
    named = [""] * k
    shift = outlines[at - 1].corners.min(axis=0) - [0, -4]
    for name, place in want.items():
        gaps = np.hypot(*(outlines[at - 1].corners - shift - place).T)
        named[int(gaps.argmin())] = name
    order = [n for n in named if n]
    first = order.index("hem_centre")
    edges = ["hem", "side", "waist", "centre"]
    turned = [
        edges[(["hem_centre", "hem_side", "waist_side", "waist_centre"].index(n))] for n in order
    ]
    assert first == 0 or turned[0] != "hem"
    said = tmp_path / "cut.toml"
    said.write_text(
        f"""[[pieces]]
outline = {at}
name = "front"
corners = {named}
edges = {turned}
cut = "fold"
fold = "centre"
line = "cut"
allowance = {{ hem = 4.0, side = 1.5, waist = 1.0 }}
reserve = {{ side = 1.0 }}
""".replace("'", '"')
    )
    (again,) = bring_in(path, said).pieces
    for name in ("hem", "side", "waist", "centre"):
        assert again.edge(name).length == pytest.approx(front.edge(name).length, abs=0.12)
    ring = shapely.Polygon(np.concatenate([p.flatten(0.01)[:-1] for p in again.outline()]))
    was = shapely.Polygon(np.concatenate([p.flatten(0.01)[:-1] for p in front.outline()]))
    moved = shapely.affinity.translate(was, *(np.array(ring.bounds[:2]) - was.bounds[:2]))
    assert ring.hausdorff_distance(moved) < 0.1


def test_grain_is_stood_upright_and_the_other_hand_mirrored(tmp_path: Path) -> None:
    extra = (
        'grain = [[10, 30], [40, 30]]\nmirrored = true\ncut = "fold"\nfold = "centre"\nallowance'
    )
    names = NAMES.replace('cut = "fold"\nfold = "centre"\nallowance', extra, 1)
    # with its grain across it has no hem that could be let down
    with pytest.raises(
        OrderError, match=r"jacket_hem is on front\.hem, back\.hem, where hem longer"
    ):
        brought(tmp_path, names)
    names = names.replace('jacket_hem = ["front.hem", "back.hem"]', "")
    plain, turned = brought(tmp_path).pieces[0], brought(tmp_path, names).pieces[0]
    assert turned.grain[1] - turned.grain[0] == pytest.approx([0, 30])
    assert signed_area(turned.outline()) == pytest.approx(signed_area(plain.outline()))
    for e in plain.edges:
        assert turned.edge(e.name).length == pytest.approx(e.length)
        assert (turned.edge(e.name).start, turned.edge(e.name).end) == (e.end, e.start)
    assert turned.edge("side").distance("hip") == pytest.approx(
        plain.edge("side").length - plain.edge("side").distance("hip")
    )


def test_two_steps_first_a_file_to_fill_in_then_the_order(tmp_path: Path) -> None:
    path, said = written(tmp_path)
    lines, data = bring_in_command(path)
    assert [Path(f).name for f in data["files"]] == ["skirt.names.toml", "skirt.outlines.svg"]
    assert any("Outline 2: 25.0 x 60.0 cm, 7 corners" in line for line in lines)
    with pytest.raises(OrderError, match="exists already"):
        bring_in_command(path)
    # the file to fill in is itself sound: brought in with it every corner is a corner
    unnamed = bring_in(path, tmp_path / "skirt.names.toml")
    assert [len(p.edges) for p in unnamed.pieces] == [4, 7]
    # and the picture is true to size: it comes in again
    again = bring_in(tmp_path / "skirt.outlines.svg").outlines
    areas = [o.area for o in again if o.label == "outline"]
    assert areas == pytest.approx([o.area for o in unnamed.outlines], rel=1e-4)
    lines, data = bring_in_command(path, said)
    order = load(Path(data["files"][0]))
    assert order.garments[0].style == "brought"
    assert any("back waist dart, jacket hem, side seam" in line for line in lines)
    kept = unpack(order.frozen["brought"].draft)
    assert pack(kept) == pack(bring_in(path, said).garment)  # type: ignore[arg-type]


def test_an_order_is_written_once_and_only_with_names(tmp_path: Path) -> None:
    path, _ = written(tmp_path)
    with pytest.raises(OrderError, match="not named yet"):
        order_text(bring_in(path), "Client")
    order_with(tmp_path / "o.toml", brought(tmp_path), "Client", {"height": 168}, "12")
    with pytest.raises(OrderError, match="exists already"):
        order_with(tmp_path / "o.toml", brought(tmp_path), "Client")
    assert load(tmp_path / "o.toml").number == "12"


def test_every_word_of_the_file_of_names_is_on_its_page() -> None:
    page = (Path(__file__).parents[2] / "docs" / "bring-in.md").read_text()
    for model in (Names, PieceNames, SeamNames, DartNames, LineNames, MarkNames):
        for word in model.model_fields:
            assert f"`{word}`" in page, (model.__name__, word)


def test_no_correction_breaks_off(tmp_path: Path) -> None:
    """Whatever is asked of such a garment is made, or refused in a sentence."""
    garment = brought(tmp_path).garment
    assert garment is not None
    made = set()
    for e in all_entries().values():
        for place in e.places:
            for component in e.components:
                asked = Correction(e.kind, place, amounts={component: 0.3})
                after = fit(garment, [asked])
                if after.refused:
                    assert after.refused[0].reason.endswith(".")
                else:
                    made.add((e.kind, place))
                    wrong = [c for c in all_checks(after) if c.verdict == "wrong"]
                    assert [c for c in wrong if c.group in ("seams", "outlines")] == []
    assert {("let_out", "side_seam"), ("hem", "jacket_hem"), ("hem_level", "jacket_hem")} <= made
    assert ("waist_dart_intake", "back_waist_dart") in made


def test_it_is_never_drafted() -> None:
    with pytest.raises(DraftError, match="no drafting rules"):
        STYLE.block(None, {})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('"hem_side", "waist_side", "waist_centre"]', '"x"]', "outline 1 has 4 corners, but 2"),
        ('edges = ["hem", "side", "waist", "centre"]', 'edges = ["hem", "side"]', "but 2 names"),
        ("outline = 2", "outline = 3", "there is no outline 3; 2 were found"),
        ('fold = "centre"', 'fold = "middle"', "its fold is 'middle'"),
        ("{ hem = 4.0, side = 1.5 }", "{ cuff = 4.0 }", "allowance names the edge 'cuff'"),
        ("[28, 45]", "[20, 45]", "lies 7.9 cm from its edge"),
        ('apex = "point"', 'apex = "tip"', "ends at 'tip'"),
        ('mouth = ["in", "out"]', 'mouth = ["out", "in"]', "`darts` has none from there"),
        ('"side seam" =', '"side sea" =', "no place that corrections know. Did you mean"),
        ('["front.hem", "back.hem"]', '["front.hem", "back.side"]', "jacket_hem is on front.hem"),
        ('a = "front.side"', 'a = "frnt.side"', "no piece 'frnt'. Did you mean front"),
        ('b = "back.side"', 'b = "back.sid"', "the back has the edges hem, side"),
        ('stations = ["hip"]', 'stations = ["knee"]', "no station 'knee'"),
        ('hold = "hip"', 'hold = "knee"', "holds at 'knee'"),
        ('name = "back"', 'name = "front"', "Two pieces are called 'front'"),
        ('name = "back"', 'name = "a.b"', "a name without full stops"),
        ("outline = 2", "outlin = 2", "outlin is not known"),
        ('cut = "fold"', 'cut = "bias"', "cut ('bias'): must be"),
        ('"waist", "", "", "waist"', '"waist", "w2", "", "waist"', "two edges are called 'waist'"),
        ('b = "back.side"', 'b = "-back.side"', "take the minus out"),
    ],
)  # fmt: skip
def test_names_that_do_not_fit_are_refused_in_a_sentence(
    tmp_path: Path, old: str, new: str, says: str
) -> None:
    assert old in NAMES
    with pytest.raises(OrderError) as err:
        brought(tmp_path, NAMES.replace(old, new, 1))
    assert says in str(err.value)
    assert str(err.value).rstrip().endswith(".")


def test_the_order_is_laid_corrected_and_printed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The whole job on a brought-in order, a note of the fitting in it."""
    from pinwright.draft import style
    from pinwright.workshop import freezing, job
    from pinwright.workshop.writing import drawings, export_data, write_sheets

    # what `draft.style` must know for an order of brought-in pieces
    monkeypatch.setattr(freezing, "find_style", lambda n: STYLE if n == "brought" else style(n))
    path = order_with(
        tmp_path / "o.toml",
        brought(tmp_path),
        "Client",
        {"height": 168, "waist_girth": 74.5, "hip_girth": 99},
    )
    path.write_text(
        path.read_text()
        + """
[[fittings]]
date = 2027-03-04
[[fittings.corrections]]
kind = "let_out"
place = "side_seam"
meant_as = "edge"
amount = 1.0
"""
    )
    done = job.run(load(path))
    (garment,) = done.garments
    assert [n.status for n in done.notes] == ["made"]
    assert garment.after.right.piece("front").edge("hem").length == pytest.approx(26, abs=0.02)
    own = drawings(done, garment)
    assert {d.piece.name for d in own} == {"front", "back"}
    (sheet,) = write_sheets(done, tmp_path / "sheets")
    assert sheet.read_bytes().startswith(b"%PDF")
    assert [p["name"] for p in export_data(done)["garments"][0]["pieces"]] == ["front", "back"]
