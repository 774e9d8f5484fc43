"""The drape in an order: the command, its JSON, words and files, rests kept, stopped and refused.

All but the last hang a tube of which every number is known in place of each garment.
"""

from __future__ import annotations

import json
import signal
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
from pdfminer.high_level import extract_text
from typer.testing import CliRunner, Result

from pinwright.cli import app
from pinwright.drape.data import Hung, Pose
from pinwright.drape.draping import Garb, Settle
from pinwright.drape.pictures.picture import LookedAt, look_at
from pinwright.drape.pictures.shown import CAUTION, Shown
from pinwright.drape.reading import read
from pinwright.drape.reading.judge import judge
from pinwright.drape.reading.sign import Sign, cause
from pinwright.errors import DrapeError
from pinwright.figure.figure import Figure
from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import fit
from pinwright.workshop import demo, drape, drape_extra
from pinwright.workshop.drape import garb_of, hang, has
from pinwright.workshop.drape_rests import keep, kept, key_of, start_of
from pinwright.workshop.drape_words import all_signs, in_short
from pinwright.workshop.job import Job
from pinwright.workshop.order import load
from pinwright.workshop.stock import material_of
from tests.drape.pictures.tube import TIGHT
from tests.drape.pictures.tube import hung as tube
from tests.web.pages import demo_figure, demo_job
from tests.workshop.test_inches import inches

Hang = Callable[[Garb, Figure, Pose, Callable[[str, float], bool], float], Hung]


def plain(
    garb: Garb, figure: Figure, pose: Pose, tell: Callable[[str, float], bool], edge: float
) -> Hung:
    """The tube in a garment's place, hung in two steps unless it is stopped."""
    on = all(tell("hanging", left) for left in (3.0, 0.5))
    h = replace(tube(), pose=pose, cloth=garb.handle.name)
    return h if on else replace(h, rest=replace(h.rest, stopped=True))


@pytest.fixture
def hung_by(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What was hung by the stub, in order: its cloth and pose."""
    found: list[str] = []

    def counted(
        garb: Garb, figure: Figure, pose: Pose, tell: Callable[[str, float], bool], edge: float
    ) -> Hung:
        found.append(f"{garb.garment.style} {pose} {garb.handle.name}")
        return plain(garb, figure, pose, tell, edge)

    small(monkeypatch, counted)
    return found


def small(monkeypatch: pytest.MonkeyPatch, instead: Hang) -> None:
    """Garments hung by ``instead``, in small pictures, on a figure that is made once."""

    def looked(shown: Shown) -> LookedAt:
        return look_at(shown, high=120)

    def figure(job: Job) -> object:
        return replace(demo_figure(), odd=()) if job.order.figure.shown else None

    def draped(*given: Any, settle: Settle | None = None) -> Hung:
        return instead(*given)

    monkeypatch.setattr(drape, "draped", draped)
    monkeypatch.setattr(drape, "look_at", looked)
    monkeypatch.setattr("pinwright.workshop.figure.order_figure", figure)


@pytest.fixture
def undrawn(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is drawn: for what is not about files."""
    monkeypatch.setattr(drape, "write_drape", lambda *given: [])


@pytest.fixture
def order(tmp_path: Path) -> Path:
    path = tmp_path / "order.toml"
    path.write_text(demo.demo_order(), encoding="utf-8")
    return path


def ran(order: Path, *asked: str) -> Result:
    result = CliRunner().invoke(app, ["drape", str(order), *asked], env={"COLUMNS": "2000"})
    assert result.exit_code == 0, (result.output, result.exception)
    return result


def refused(order: Path, *asked: str) -> str:
    result = CliRunner().invoke(app, ["drape", str(order), *asked])
    assert result.exit_code != 0
    assert not (order.parent / "drape").exists()
    return str(result.exception)


def test_json_has_all_that_was_read(order: Path, hung_by: list[str]) -> None:
    text = order.read_text(encoding="utf-8")
    data = json.loads(ran(order, "--json").stdout)
    assert order.read_text(encoding="utf-8") == text  # the order is not touched
    assert data["pose"] == "standing"
    assert [g["garment"] for g in data["garments"]] == ["trousers", "jacket"]
    for g in data["garments"]:
        assert {
            "places", "levels", "folds", "rest", "signs", "left_out", "cloth", "assumed", "doubts"
        } <= set(g)  # fmt: skip
        for p in g["places"]:
            assert {"place", "strain_along", "strain_across", "gap", "pressure"} <= set(p)
        # her left half was cut 6 % too narrow
        peaks = [p["strain_across_peak"] for p in g["places"]]
        assert max(peaks) == pytest.approx(TIGHT, abs=1e-6)
        rest = {"residual": 0.0042, "seconds": 3.2, "steps": 210, "stopped": False, "card": None}
        assert g["rest"] == rest
        assert g["left_out"] == ["the waistband's facing", "the zip"]
        assert {"stretch_along", "shear", "mass"} <= set(g["cloth"])
        strained = next(s for s in g["signs"] if s["kind"] == "strained")
        # the mean over both halves as they were cut, one of them so much narrower
        assert strained["amount"] == pytest.approx(TIGHT / (2.0 + TIGHT), abs=1e-6)
        assert strained["wrong"] is True
        assert strained["causes"][0]["correction"] == "let_out"
    trousers, _ = data["garments"]
    assert trousers["cloth"]["name"] == "navy wool serge"
    assert trousers["cloth"]["like"] == "wool serge"
    assert "was not tested" in trousers["assumed"]
    assert all(Path(f).exists() for f in data["files"])


def test_the_files(order: Path, hung_by: list[str], tmp_path: Path) -> None:
    out = tmp_path / "out"
    ran(order, "--garment", "jacket", "--out", str(out))
    assert hung_by == ["jacket standing wool suiting, middle weight"]
    quantities = ("strain-across", "strain-along", "gap", "pressure")
    assert {p.name for p in out.iterdir()} == {
        *(f"jacket-{q}.{form}" for q in quantities for form in ("png", "svg")),
        "jacket.glb",
        "drape-sheet.pdf",
        "rest-jacket.npz",
    }
    for path in out.glob("*.svg"):
        ElementTree.parse(path)
    assert (out / "jacket.glb").read_bytes()[:4] == b"glTF"
    told = " ".join(extract_text(out / "drape-sheet.pdf").split())
    assert CAUTION in told
    assert "the zip" in told
    assert "was not tested" in told


def test_poses_and_the_cut_lie_beside_each_other(order: Path, hung_by: list[str]) -> None:
    for asked in ((), ("--pose", "sitting"), ("--as", "cut")):
        ran(order, "--garment", "trousers", *asked)
    names = {p.name for p in (order.parent / "drape").iterdir()}
    for stem in ("trousers", "trousers-sitting", "trousers-as-cut"):
        assert {f"{stem}.glb", f"rest-{stem}.npz", f"{stem}-gap.png"} <= names
    assert {"drape-sheet.pdf", "drape-sheet-sitting.pdf", "drape-sheet-as-cut.pdf"} <= names
    as_cut = extract_text(order.parent / "drape" / "drape-sheet-as-cut.pdf")
    assert "as cut for the fitting" in " ".join(as_cut.split())


def test_as_cut_it_hangs_as_before_the_fitting() -> None:
    g = demo_job().garments[0]
    name = next(iter(g.changed.values()))[0]
    cut, fitted = (garb_of(demo_job(), g, when)[0] for when in ("cut", "fitted"))
    sides = [s for s, changed in g.changed.items() if name in changed]
    side = "right" if "both" in sides else sides[0]
    assert getattr(cut, side)[name] is g.before.half(side).piece(name)  # type: ignore[arg-type]
    assert getattr(fitted, side)[name] is g.after.half(side).piece(name)  # type: ignore[arg-type]
    assert getattr(cut, side)[name] is not getattr(fitted, side)[name]


def test_doubts_stand_before_signs_and_cautions_at_the_end(
    order: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def restless(*given: object) -> Hung:
        h = plain(*given)  # type: ignore[arg-type]
        return replace(h, rest=replace(h.rest, residual=0.4))

    small(monkeypatch, restless)
    # lines break where the terminal is narrow
    said = " ".join(ran(order, "--garment", "trousers").stdout.split())
    marks = [
        "does not hang at rest: the force left over on a point of its mesh is 40 % of a point's",
        "Do not go by what follows.",
        "1. ",
        "stretched 2.9% across in the mean, 6.0% at its tightest",
        "It may need: seam let out or taken in (let_out)",
        "a point's weight, after 210 steps",
        "The hem was not folded.",
        "Navy wool serge: how it hangs was not tested",
        "Left out: the waistband's facing; the zip.",
        CAUTION,
        "Fit is judged at the fitting",
        "written: ",
    ]
    found = [said.find(m) for m in marks]
    assert -1 not in found, marks[found.index(-1)]
    assert found == sorted(found)


def test_of_one_who_sits_no_level_is_told(order: Path, hung_by: list[str]) -> None:
    reading = read(tube(), {})
    (hem,) = reading.levels.hems
    uneven = replace(hem, off={"front": 2.0, "back": -2.0})
    tilted = replace(reading, levels=replace(reading.levels, hems=(uneven,)))
    assert "not level" in {s.kind for s in judge(tilted)}
    assert {s.kind for s in judge(replace(tilted, pose="sitting"))} == {"strained"}
    data = json.loads(ran(order, "--pose", "sitting", "--json").stdout)
    assert data["pose"] == "sitting"
    assert hung_by[0].startswith("trousers sitting")
    said = " ".join(ran(order, "--pose", "sitting", "--garment", "jacket").stdout.split())
    assert "only stretch, gap, pressure and folds are to be read there" in said
    # numbers that are not to be read are not told, on the sheet neither
    sheet = extract_text(order.parent / "drape" / "drape-sheet-sitting.pdf")
    for text in (said, sheet):
        assert "over the floor" not in text
        assert "Levels and plumb lines" not in text


def test_corrections_are_those_that_the_ledger_takes() -> None:
    trousers, jacket = demo_job().garments
    for g, kind, place, way, can in (
        (jacket, "shoulder_dart_intake", "shoulder_dart", 1, False),  # its back has a yoke
        (jacket, "bust_dart_intake", "bust_dart", -1, True),
        (jacket, "body_length", "body", -1, False),  # it is cut
        (jacket, "seat_wedge", "seat", 1, False),
        (trousers, "seat_wedge", "seat", 1, True),
        (trousers, "waist_dart_intake", "back_waist_dart", 1, True),
    ):
        little = Correction(kind, place, amounts={"amount": 0.1 * way})
        assert has(g, "fitted")(kind, (place,), way) is can
        assert bool(fit(g.draft, (*g.after.ledger, little)).refused) is not can
    # one that is made as far as it goes is not asked for again, its opposite is
    most = Correction("bust_dart_intake", "bust_dart", amounts={"amount": 1.6})
    full = replace(jacket, after=fit(jacket.draft, (most,)))
    asked = has(full, "fitted")
    assert not asked("bust_dart_intake", ("bust_dart",), 1)
    assert asked("bust_dart_intake", ("bust_dart",), -1)


def test_ctrl_c_keeps_what_there_is(order: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(
        garb: Garb, figure: Figure, pose: Pose, tell: Callable[[str, float], bool], edge: float
    ) -> Hung:
        assert tell("sewing", 30.0)
        signal.raise_signal(signal.SIGINT)
        return plain(garb, figure, pose, tell, edge)

    small(monkeypatch, interrupted)
    before = signal.getsignal(signal.SIGINT)
    said = ran(order).stdout
    assert signal.getsignal(signal.SIGINT) is before
    assert "It was stopped before it hung at rest." in said
    assert "Stopped: not hung at all: jacket." in said
    assert (order.parent / "drape" / "trousers.glb").exists()
    assert not (order.parent / "drape" / "jacket.glb").exists()
    # what was stopped is not taken for a rest the next time
    small(monkeypatch, plain)
    assert "stopped before" not in ran(order).stdout


def test_a_kept_rest_is_reopened_until_something_changes(
    order: Path, hung_by: list[str], undrawn: None
) -> None:
    ran(order)
    assert len(hung_by) == 2
    again = ran(order)
    assert len(hung_by) == 2
    assert "It hangs as it was kept; --again hangs it anew." in again.stdout
    data = json.loads(ran(order, "--json").stdout)
    assert [g["reopened"] for g in data["garments"]] == [True, True]
    ran(order, "--again", "--garment", "jacket")
    assert len(hung_by) == 3
    text = order.read_text(encoding="utf-8")
    changed = text.replace('fit = "loose"', 'fit = "slim"')
    assert changed != text
    order.write_text(changed, encoding="utf-8")
    ran(order)
    assert [h.split()[0] for h in hung_by[3:]] == ["trousers"]
    # a cloth that hangs otherwise
    order.write_text(text.replace('name = "navy wool serge"', 'name = "poplin"'), "utf-8")
    ran(order, "--garment", "trousers")
    assert hung_by[-1] == "trousers standing cotton poplin"
    rest = order.parent / "drape" / "rest-trousers.npz"
    rest.write_bytes(rest.read_bytes()[:1000])
    ran(order, "--garment", "trousers")
    assert len(hung_by) == 6


def test_a_rest_comes_back_as_it_was(tmp_path: Path) -> None:
    h = tube(2.5)
    keep(tmp_path / "rest.npz", "key", h)
    found = kept(tmp_path / "rest.npz")
    assert found is not None
    key, back = found
    assert key == "key"
    for a, b in (
        (h.points, back.points),
        (h.touch, back.touch),
        (h.body.points, back.body.points),
        (h.body.triangles, back.body.triangles),
        (h.shell.rest, back.shell.rest),
        (h.shell.panels[0].points, back.shell.panels[0].points),
        (h.shell.panels[0].edges["hem"][0], back.shell.panels[0].edges["hem"][0]),
        (h.shell.seams["back"], back.shell.seams["back"]),
    ):
        assert a.dtype == b.dtype
        assert np.array_equal(a, b)
    assert back.rest == h.rest
    assert (back.pose, back.cloth, back.remarks) == (h.pose, h.cloth, h.remarks)
    assert back.shell.left_out == h.shell.left_out
    assert back.shell.panels[0].name == "front right"
    assert kept(tmp_path / "none.npz") is None


def test_a_rest_is_of_its_pieces_cloth_figure_and_pose() -> None:
    job, figure = demo_job(), demo_figure().figure
    g = job.garments[0]
    fitted, cut = (garb_of(job, g, when)[0] for when in ("fitted", "cut"))
    key = key_of(fitted, figure, "standing", 1.3)
    assert key == key_of(garb_of(job, g, "fitted")[0], figure, "standing", 1.3)
    other = replace(figure, points=figure.points + np.array([0.0, 0.0, 1e-6]))
    heavier = replace(fitted, handle=replace(fitted.handle, mass=fitted.handle.mass + 1.0))
    keys = {
        key,
        key_of(cut, figure, "standing", 1.3),
        key_of(fitted, figure, "sitting", 1.3),
        key_of(fitted, other, "standing", 1.3),
        key_of(heavier, figure, "standing", 1.3),
        key_of(fitted, figure, "standing", 2.0),
    }
    assert len(keys) == 6


def test_a_corrected_garment_goes_on_from_where_it_hung(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    job, figure = demo_job(), demo_figure().figure
    g = job.garments[0]
    cut, fitted = (garb_of(job, g, when)[0] for when in ("cut", "fitted"))
    key = key_of(fitted, figure, "standing", 1.3)
    old = key_of(cut, figure, "standing", 1.3)
    before = replace(tube(), shell=cut.shell(3.0))
    assert start_of((old, before), key, fitted) is before
    assert start_of(None, key, fitted) is None
    sat = key_of(cut, figure, "sitting", 1.3)
    assert start_of((sat, before), key, fitted) is None
    assert start_of((old, tube()), key, fitted) is None  # other panels
    for rest in (replace(before.rest, stopped=True), replace(before.rest, residual=0.5)):
        assert start_of((old, replace(before, rest=rest)), key, fitted) is None

    def again(garb: Garb, start: Hung, *given: object, settle: Settle | None = None) -> Hung:
        assert start.shell.n == before.shell.n
        return tube()

    def anew(*given: object) -> Hung:
        raise AssertionError("hung anew")

    small(monkeypatch, anew)
    monkeypatch.setattr(drape, "redraped", again)
    keep(tmp_path / "rest-trousers.npz", old, before)
    assert hang(job, figure, styles=["trousers"], rests=tmp_path)[0].hung.points.shape == (
        tube().points.shape
    )
    found = kept(tmp_path / "rest-trousers.npz")
    assert found is not None
    assert found[0] == key
    with pytest.raises(AssertionError, match="hung anew"):
        hang(job, figure, styles=["trousers"], rests=tmp_path, again=True)


def test_what_cannot_be_asked_is_one_sentence(order: Path) -> None:
    pose = refused(order, "--pose", "lying")
    assert pose == "--pose is 'lying'; it may be standing, arms-raised, step or sitting."
    for none in ("", "skirt"):
        told = f"--garment is {none!r}; this order has trousers, jacket."
        assert refused(order, "--garment", none) == told
    assert refused(order, "--as", "sewn") == "--as is 'sewn'; it may be fitted or cut."
    assert refused(order, "--paper", "a3") == "--paper is 'a3'; it may be a4 or letter."
    assert (
        refused(order, "--on", "moon") == "--on is 'moon'; it may be quickest, processor or card."
    )
    garment = refused(order, "--garment", "skirt")
    assert garment == "--garment is 'skirt'; this order has trousers, jacket."


def test_a_card_that_does_not_answer_is_told_with_what_it_needs(
    order: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("pinwright.drape.gpu.device.available", lambda: None)
    said = refused(order, "--on", "card")
    assert said.startswith("--on is 'card', but no graphics card answers")
    assert "--on processor" in said


def test_without_the_extra_it_says_how_to_install_it(
    order: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(drape_extra, "NEEDED", ("a_module_that_is_not_there",))
    assert "pip install 'pinwright[drape]'" in refused(order)


def test_the_demo_goes_without_the_extra_and_without_a_figure(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, hung_by: list[str]
) -> None:
    job = demo_job()
    assert demo._drape(job, None, tmp_path / "d", print) == ((), (), ())
    monkeypatch.setattr(drape_extra, "NEEDED", ("a_module_that_is_not_there",))
    found, written, words = demo._drape(job, demo_figure(), tmp_path / "d", print)
    assert (found, written) == ((), ())
    assert "pip install 'pinwright[drape]'" in " ".join(words)
    assert hung_by == []
    assert not (tmp_path / "d").exists()


def test_who_does_not_want_to_be_shown_has_nothing_hung_on_her(
    order: Path, hung_by: list[str]
) -> None:
    text = order.read_text(encoding="utf-8")
    order.write_text(text + "\n[figure]\nshown = false\n", encoding="utf-8")
    assert "figure.shown = false, as the client wished" in refused(order)
    assert hung_by == []


def test_pieces_without_places_are_refused_kindly() -> None:
    job = demo_job()
    g = job.garments[0]
    nowhere = replace(g.after, garment=replace(g.after.garment, places={}))
    with pytest.raises(DrapeError, match="nothing tells where its pieces go on the figure"):
        garb_of(job, replace(g, after=nowhere), "fitted")


def test_cloth_that_tore_apart_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    def torn(*given: object) -> Hung:
        h = plain(*given)  # type: ignore[arg-type]
        return replace(h, points=h.points * np.nan)

    small(monkeypatch, torn)
    with pytest.raises(DrapeError, match="Trousers: the cloth tore apart"):
        hang(demo_job(), demo_figure().figure)


def test_all_lengths_are_in_the_clients_unit(
    order: Path, hung_by: list[str], undrawn: None
) -> None:
    order.write_text(inches(order.read_text(encoding="utf-8")), encoding="utf-8")
    said = ran(order, "--garment", "trousers").stdout
    assert " cm" not in said.split("written:")[0]
    assert " in" in said
    data = json.loads(ran(order, "--garment", "trousers", "--json").stdout)
    told = data["garments"][0]
    sentences = [f["says"] for f in told["folds"]] + [s["says"] for s in told["signs"]]
    assert sentences
    assert not any(" cm" in s for s in sentences)
    hem = next(x for x in told["levels"]["hems"] if x["name"] == "hem")
    assert hem["lowest"] == pytest.approx(40.0)  # for other programs it stays cm


def test_signs_are_told_with_what_may_help_and_the_watched_last() -> None:
    tight = (cause("let_out", "tight horizontal folds"),)
    hip = Sign("strained", "hip", "left", 0.05, 0.02, "", "is tight", tight)
    knee = replace(hip, place="knee", amount=0.015, causes=(), wrong=False)
    fork = Sign("fold", "fork", "right and left", 2.0, 0.5, "cm", "hangs", (), folds=(2, 5))
    assert list(all_signs([hip, fork, knee])) == [
        "1. Hip, left: is tight.",
        "   It may need: seam let out or taken in (let_out), for “tight horizontal folds: too "
        "little ease at that level, let out”.",
        "2. Fork, right and left: hangs (folds 2 and 5 on the pictures).",
        "To be watched: Knee, left: is tight.",
    ]
    assert list(all_signs([])) == ["No sign of a fault."]


LAYERS = (
    "Some of its own layers pass through each other (on the right front): kept apart there they "
    "did not come to rest."
)
PULLED = "The waist is pulled down with 14.4 times the weight of the cloth: the rise is short."


def test_layers_that_pass_through_each_other_and_a_waist_pulled_down_stand_before_the_signs(
    order: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def crushed(*given: object) -> Hung:
        h = plain(*given)  # type: ignore[arg-type]
        return replace(h, remarks=(*h.remarks, PULLED, LAYERS))

    small(monkeypatch, crushed)
    said = " ".join(ran(order, "--garment", "trousers").stdout.split())
    found = [said.find(m) for m in (LAYERS, PULLED, "1. ", "The hem was not folded.", "Left out")]
    assert -1 not in found
    assert found == sorted(found)
    assert (said.count(LAYERS), said.count(PULLED)) == (1, 1)
    assert "Do not go by what follows." not in said  # it is only there that it cannot be trusted
    (h,) = hang(demo_job(), demo_figure().figure, styles=["trousers"])
    assert in_short(h).startswith(f"Trousers: {LAYERS} {PULLED} Hip level, front, right")
    assert in_short(replace(h, signs=())).startswith(f"Trousers: {LAYERS} No sign but this: the")


def test_in_short_the_foremost_sign_and_how_many_more(monkeypatch: pytest.MonkeyPatch) -> None:
    small(monkeypatch, plain)
    (h,) = hang(demo_job(), demo_figure().figure, styles=["trousers"])
    assert h.shown.signs == h.signs
    faults = [s for s in h.signs if s.wrong]
    told = in_short(h)
    assert told.startswith("Trousers: Hip level, front, right: stretched 2.9% across in the mean")
    assert told.endswith(f"{len(faults) - 1} more on it.")
    assert in_short(replace(h, signs=())) == "Trousers: no sign of a fault."


def test_the_cloths_handle_is_no_part_of_the_cutters_material(order: Path) -> None:
    text = order.read_text(encoding="utf-8")
    at = text.index("[[cloth]]")
    end = text.index("\n[[cloth]]", at + 5)
    tested = text[:end] + "\n[cloth.handle]\nmass = 310\n" + text[end:]
    order.write_text(tested, encoding="utf-8")
    cloth = load(order).cloth[0]
    assert cloth.handle is not None
    assert cloth.model_dump()["handle"]["mass"] == 310
    assert material_of(cloth).name == cloth.name


def test_trousers_are_really_put_on_and_kept_when_stopped() -> None:
    """In triangles of 3 cm, stopped where it begins to settle: the whole way, and quick."""
    figure = demo_figure().figure
    stages: dict[str, int] = {}

    def tell(garment: str, what: str, left: float) -> bool:
        assert garment == "trousers"
        assert left >= 0.0
        stages[what] = stages.get(what, 0) + 1
        return what != "settling"

    found = hang(demo_job(), figure, styles=["trousers"], tell=tell, edge=3.0)
    assert [h.style for h in found] == ["trousers"]
    h = found[0].hung
    assert list(stages)[-1] == "settling"
    assert stages["settling"] == 1
    assert h.rest.stopped
    assert "It was stopped before it hung at rest." in found[0].reading.doubts
    # the waist line is kept so far under the body's waist as the style says, and the band of 4
    # stands over it, a little slanting
    marks = figure.marks.points
    ends = ("front_waist", "back_waist", "side_waist_right", "side_waist_left")
    highest = max(float(marks[k][2]) for k in ends)
    worn = highest - demo_job().garments[0].before.garment.facts["waist_depth"]
    assert worn + 1.5 < float(h.points[:, 2].max()) < worn + 4.6
    assert -3.0 < float(h.points[:, 2].min()) < 5.0
    # each leg goes round its own leg: well below the fork nothing crosses the middle
    low = h.points[:, 2] < figure.marks.levels["fork"] - 12.0
    for panel, ids in zip(h.shell.panels, h.shell.vertices, strict=True):
        out = h.points[ids[low[ids]], 0] * (1.0 if panel.side == "left" else -1.0)
        assert (out > -0.5).all()
