"""The notebook at a brought-in pattern: the places its user named, by the words of our drafts."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest
from typer.testing import CliRunner

from pinwright.bringin.ordering import order_with
from pinwright.cli import app
from pinwright.errors import CorrectionError, MeasureError, OrderError
from pinwright.fitting.catalogue import reasons_against
from pinwright.fitting.propose import correction_from
from pinwright.fitting.reader import Brought, answer, read_line
from pinwright.fitting.reader.joining import leaves
from pinwright.pattern.garment import Garment
from pinwright.workshop import job
from pinwright.workshop.notes import NoteResult
from pinwright.workshop.order import Fitting, Note, load
from tests.bringin.test_pieces import NAMES, brought
from tests.reader.test_notebook_properties import LINES

HEM = 'jacket_hem = ["front.hem", "back.hem"]'


def skirt(tmp_path: Path, names: str = NAMES) -> Garment:
    garment = brought(tmp_path, names).garment
    assert garment is not None
    return garment


def noted(
    tmp_path: Path, line: str, meant: str = "", names: str = NAMES
) -> tuple[NoteResult, job.Job]:
    """What became of a line in the order of a skirt that was brought in."""
    path = order_with(tmp_path / "order.toml", brought(tmp_path, names), "Client")
    note = Note(text=line, meant=meant)
    fitting = Fitting(date=dt.date(2027, 3, 4), notes=(note,))
    done = job.run(load(path).model_copy(update={"fittings": (fitting,)}))
    (result,) = done.notes
    return result, done


@pytest.mark.parametrize(
    ("line", "meant", "edge", "length"),
    [
        ("side seam out 1", "more, edge", "hem", 26),
        ("let out the side seams 1 per edge", "", "hem", 26),
        ("side seams pinned 0.5", "fold", "hem", 24.5),
        ("take in side seam 1", "removed", "hem", 24.5),
        ("skirt sides in 1 per edge", "", "hem", 24),
        ("hem down 2", "", "centre", 62),
        ("hem up 1.5", "", "centre", 58.5),
        ("jacket hem down 2", "", "centre", 62),
        ("old skirt 2 longer", "", "centre", 62),
    ],
)
def test_a_line_moves_the_edges_the_user_named(
    tmp_path: Path, line: str, meant: str, edge: str, length: float
) -> None:
    result, done = noted(tmp_path, line, meant)
    assert (result.status, result.garment) == ("made", "brought")
    for half in (done.garments[0].after.right, done.garments[0].after.left):
        assert half is None or half.piece("front").edge(edge).length == pytest.approx(
            length, abs=0.02
        )


def test_a_line_can_be_of_one_side_only(tmp_path: Path) -> None:
    result, done = noted(tmp_path, "hem R up 1.5 L up 1")
    after = done.garments[0].after
    assert result.status == "made"
    assert after.left is not None
    assert after.right.piece("front").edge("centre").length == pytest.approx(58.5, abs=0.01)
    assert after.left.piece("front").edge("centre").length == pytest.approx(59, abs=0.01)


@pytest.mark.parametrize("line", ["back waist dart 0.6 deeper", "waist dart 0.6 deeper"])
def test_its_own_dart_is_meant_without_asking_where_there_is_one(tmp_path: Path, line: str) -> None:
    result, done = noted(tmp_path, line)
    assert result.status == "made"
    a, b = done.garments[0].after.right.piece("back").mouth("back dart")
    assert float(((b - a) ** 2).sum() ** 0.5) == pytest.approx(3.6, abs=0.05)


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("inseam in 1", "Kept as text: the old skirt has no inseam; there are back waist dart, "
                        "jacket hem, side seam."),
        ("armhole 1 deeper", "Kept as text: the old skirt has no armhole edge on its front."),
        ("hollow back 1", "Kept as text: the old skirt has no point waist on the side edge of its "
                          "back."),
        ("gather 1 into the band", "Kept as text: the old skirt has no waistband."),
        ("pocket 1 up", "Kept as text: no pocket is among the places named for the old skirt."),
        ("jacket side seam 1 out", "Kept as text: there is no jacket in this order."),
        ("trouser hem up 1", "Kept as text: there are no trousers in this order."),
    ],
)  # fmt: skip
def test_what_it_cannot_have_is_refused_with_the_true_reason(
    tmp_path: Path, line: str, says: str
) -> None:
    result, _ = noted(tmp_path, line)
    assert (result.status, result.says) == ("kept", says)


def test_without_a_named_hem_the_reason_is_that_none_was_named(tmp_path: Path) -> None:
    result, _ = noted(tmp_path, "hem up 1", names=NAMES.replace(HEM, ""))
    assert result.says == "Kept as text: no hem is among the places named for the old skirt."


def test_a_level_that_the_seam_does_not_have_is_refused(tmp_path: Path) -> None:
    result, _ = noted(tmp_path, "let out side seam 1 per edge at the knee")
    assert result.status == "refused"
    assert "does not reach the level 'knee'; it has hem_side, hip, waist_side" in result.says


def test_beside_our_own_garment_it_is_asked_which_is_meant(tmp_path: Path) -> None:
    old = Brought("old skirt", reasons_against(skirt(tmp_path), "cut"))
    both = ("jacket", "brought")
    asked = read_line("let out side seams 1 per edge", both, brought=old)
    assert asked.question == "side seam: of the jacket or of the old skirt?"
    assert {p.garment for p in answer(asked, "brought").proposals} == {"brought"}
    # what only one of them has is of that one
    assert read_line("back waist dart 0.5 deeper", both, brought=old).proposals[0].garment == (
        "brought"
    )
    assert read_line("armhole 1 deeper", both, brought=old).proposals[0].garment == "jacket"
    # named by its title it is not asked
    for line, garment in (("skirt hem up 1", "brought"), ("jacket hem up 1", "jacket")):
        assert read_line(line, both, brought=old).proposals[0].garment == garment


def test_an_old_jacket_is_called_a_jacket_too(tmp_path: Path) -> None:
    old = Brought("old jacket", reasons_against(skirt(tmp_path), "cut"))
    alone = read_line("let out jacket sides 1 per edge", ("trousers", "brought"), brought=old)
    assert {p.garment for p in alone.proposals} == {"brought"}
    asked = read_line("let out jacket sides 1 per edge", ("jacket", "brought"), brought=old)
    assert asked.question == "side seam: of the jacket or of the old jacket?"


def test_two_hems_are_asked_about(tmp_path: Path) -> None:
    names = NAMES.replace(HEM, 'jacket_hem = ["front.hem"]\ntrouser_hem = ["back.hem"]')
    old = Brought("old skirt", reasons_against(skirt(tmp_path, names), "cut"))
    asked = read_line("hem up 1", ("brought",), brought=old)
    assert [k for k, _ in asked.meanings] == ["trouser_hem", "jacket_hem"]
    assert answer(asked, "jacket_hem").proposals[0].place == "jacket_hem"


def test_every_line_of_the_corpus_is_read_for_it_and_what_it_proposes_can_be_tried(
    tmp_path: Path,
) -> None:
    garment = skirt(tmp_path)
    old = Brought(garment.title, reasons_against(garment, "cut"))
    tried, reasons = set(), []
    for line in LINES:
        reading = read_line(line.text, ("brought",), line.unit, old)
        for p in leaves(reading.items):
            assert p.garment == "brought"
            assert old.can(p.kind, p.place)
            try:
                tried.add(correction_from(p, garment).kind)
            except CorrectionError as error:
                reasons.append(str(error))
    assert {"let_out", "hem", "hem_level", "waist_dart_intake"} <= tried
    assert all(r.endswith(".") for r in reasons)


@pytest.mark.parametrize("command", ["drape", "figure"])
def test_without_measures_there_is_no_figure_and_that_is_said(tmp_path: Path, command: str) -> None:
    path = order_with(tmp_path / "order.toml", brought(tmp_path), "Client")
    with pytest.raises(OrderError, match=r"^No figure: the order has no measures\.$"):
        CliRunner().invoke(app, [command, str(path)], catch_exceptions=False)
    path.write_text(path.read_text().replace("[measures]\n", "[measures]\nheight = 168\n"))
    with pytest.raises(MeasureError, match="waist_girth, hip_girth: must be taped"):
        CliRunner().invoke(app, [command, str(path)], catch_exceptions=False)
