"""The commands of the cutting table: lay, need, sheets in three forms, baste, bring-in."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import time
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
import shapely
from ezdxf.entities.polyline import Polyline
from ezdxf.filemanagement import readfile

from pinwright.cli import app, guarded
from pinwright.cutting.cutline import cut_line
from pinwright.cutting.lay.verify import faults
from pinwright.workshop.job import run
from pinwright.workshop.lays import lays_of
from pinwright.workshop.order import load
from pinwright.workshop.stock import pieces_of
from tests.workshop.flannel import ORDER


def command(*args: str | Path) -> int:
    return guarded(lambda: app([str(a) for a in args], standalone_mode=True))


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("order") / "order.toml"
    path.write_text(ORDER)
    assert command("lay", path, "--seconds", "3", "--json") == 0
    return path


def _json(
    capsys: pytest.CaptureFixture[str], *args: str | Path
) -> dict[str, list[dict[str, object]]]:
    capsys.readouterr()
    assert command(*args) == 0
    found: dict[str, list[dict[str, object]]] = json.loads(capsys.readouterr().out)
    return found


def test_the_lay_as_json_can_be_measured_again(
    kept: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = _json(capsys, "lay", kept, "--json")
    shell = next(x for x in found["lays"] if x["layer"] == "shell")
    assert shell["kept"] is True
    placed = shell["placed"]
    assert isinstance(placed, list)
    polys = [shapely.Polygon(p["outline"]) for p in placed]
    width, length = float(str(shell["width"])), float(str(shell["length"]))
    for i, a in enumerate(polys):
        assert a.is_valid
        assert a.bounds[1] >= -1e-3
        assert a.bounds[3] <= width + 1e-3
        assert a.bounds[2] <= length + 1e-3
        for b in polys[:i]:
            # 0.3 cm is kept between pieces unless the order says otherwise
            assert a.distance(b) >= 0.3 - 1e-3
    area = sum(p.area for p in polys)
    assert float(str(shell["density"])) == pytest.approx(area / (width * length), abs=1e-4)
    assert area / width <= float(str(shell["lower_bound"])) + 0.01 <= length + 0.02
    # a right front is the mirror image of a left one
    fronts = {p["side"]: p for p in placed if p["piece"] == "front"}
    assert fronts["right"]["mirrored"] != fronts["left"]["mirrored"]
    job = run(load(kept))
    front = shapely.Polygon(cut_line(pieces_of(job.garments[0], "cut")[0]["front"]))
    for p in fronts.values():
        assert shapely.Polygon(p["outline"]).area == pytest.approx(front.area, abs=0.05)


def test_a_cloth_that_nothing_is_cut_from_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "order.toml"

    def told(more: str) -> str:
        path.write_text(ORDER + more)
        capsys.readouterr()
        assert command("need", path, "--json") == 0
        return " ".join(capsys.readouterr().err.split())

    assert told("") == ""
    assert told('[[cloth]]\nlayer = "shell"\nname = "grey flannel"\nwidth = 140.0\n') == (
        "Nothing is cut from grey flannel (2): grey flannel (1) goes before it for the same "
        "pieces. Say under `garments` which garment a cloth is for, or take one out of the order."
    )
    named = told('[[cloth]]\nlayer = "shell"\nname = "tweed"\ngarments = ["trousers"]\n')
    assert named.startswith("Nothing is cut from grey flannel: tweed goes before it")
    assert told('[[cloth]]\nlayer = "lining"\nname = "cupro"\n') == (
        "Nothing is cut from cupro: no garment that it is for has pieces of lining."
    )


def test_the_same_lay_opens_again_to_the_last_digit(
    kept: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = kept.read_text()
    first = _json(capsys, "lay", kept, "--json")
    second = _json(capsys, "lay", kept, "--json")
    assert first == second
    assert kept.read_text() == text


def test_need_gives_an_estimate_with_its_error(
    kept: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = _json(capsys, "need", kept, "--json")
    shell = next(x for x in found["need"] if "shell" in str(x["layers"]))
    estimate = shell["estimate"]
    assert isinstance(estimate, dict)
    assert estimate["low"] < estimate["length"] < estimate["high"]


@pytest.mark.parametrize("form", ["svg", "dxf", "pdf"])
def test_sheets_are_written_in_every_form(kept: Path, tmp_path: Path, form: str) -> None:
    assert command("sheets", kept, "--as", form, "--out", tmp_path) == 0
    path = tmp_path / ("trousers-large.pdf" if form == "pdf" else f"trousers.{form}")
    assert path.stat().st_size > 2000
    front = pieces_of(run(load(kept)).garments[0])[0]["front"]
    area = shapely.Polygon(cut_line(front)).area
    if form == "dxf":
        doc = readfile(path)
        areas = [
            shapely.Polygon([(v.dxf.location.x, v.dxf.location.y) for v in e.vertices]).area
            for block in doc.blocks
            for e in block
            if isinstance(e, Polyline) and e.dxf.layer == "1"
        ]
        assert min(abs(a - area) for a in areas) < 0.05
    if form == "svg":
        root = ElementTree.parse(path).getroot()
        ids = {e.get("id") for e in root.iter() if e.get("id")}
        assert "trousers-front" in ids
        assert float(str(root.get("width")).removesuffix("cm")) == pytest.approx(
            float(str(root.get("viewBox")).split()[2]), abs=1e-3
        )
    # what is kept in the order is drawn beside it
    lays = {"pdf": "lay-a4.pdf", "svg": "lay-shell-grey-flannel.svg", "dxf": ""}[form]
    assert not lays or (tmp_path / lays).exists()


def test_sheets_say_which_kept_lay_they_leave_out(
    kept: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def told(text: str) -> str:
        path = tmp_path / "order.toml"
        path.write_text(text)
        capsys.readouterr()
        assert command("sheets", path, "--as", "svg", "--out", tmp_path / "s") == 0
        return " ".join(capsys.readouterr().err.split())

    text = kept.read_text()
    assert "left out" not in told(text)
    wider = told(text.replace("\nwidth = 150.0", "\nwidth = 160.0"))
    assert "grey flannel: the cloth is not what it was when it was laid" in wider
    assert "its kept lay is left out: lay it again with `pinwright lay ORDER`." in wider
    assert "grey flannel: nothing is cut from a cloth so called" in told(
        text.replace('\nname = "grey flannel"', '\nname = "brown flannel"')
    )
    note = '\n[[fittings]]\ndate = 2026-03-04\n[[fittings.notes]]\ntext = "hem up 1"\n'
    cut = told(text.replace("\nwidth = 150.0", "\nwidth = 160.0") + note)
    assert "its kept lay is left out: the cloth is cut by it, so put it back as it was." in cut


def test_baste_says_what_is_cut_now_and_what_later(
    kept: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    capsys.readouterr()
    assert command("baste", kept) == 0
    said = capsys.readouterr().out
    assert "band" in said
    assert "inseam" in said.lower()


BAD = {
    "zero width": ("width = 150.0", "width = 0.0", "width"),
    "narrower than a piece": ("width = 150.0", "width = 30.0", "trouser"),
    "nothing between the selvedges": ("width = 150.0", "width = 10.0\nselvedge = 6.0", "selvedge"),
    "impossible repeat": ("width = 150.0", "width = 150.0\nrepeat = { across = 190.0 }", "repeat"),
    "flaws everywhere": (
        "width = 150.0",
        "width = 150.0\nlength = 200.0\nflaws = [{ along = [0, 200], across = [0, 150] }]",
        "flaw",
    ),
    "too short": ("width = 150.0", "width = 150.0\nlength = 60.0", "cm"),
    "repeat too fine": (
        "width = 150.0",
        "width = 150.0\nrepeat = { along = 0.01 }",
        "cloth.1.repeat.along: a repeat of 0.01 cm is too fine",
    ),
    "repeat of nothing": (
        "width = 150.0",
        "width = 150.0\nrepeat = { along = 0, turns = true }",
        "cloth.1: its repeat has no length; give it along or across in cm",
    ),
    "empty repeat": ("width = 150.0", "width = 150.0\nrepeat = {}", "leave the repeat out"),
    "unknown rule of matching": (
        "width = 150.0",
        'width = 150.0\nrepeat = { along = 4.0, match = ["elbow"] }',
        "elbow",
    ),
    "unknown habit": (
        "[[cloth]]",
        "[habits]\nreserve = { sid_seam = 3.0 }\n[[cloth]]",
        "side_seam",
    ),
    "a lining for nobody": ("width = 150.0", 'width = 150.0\ngarments = ["kaftan"]', "kaftan"),
}


@pytest.mark.parametrize("case", BAD)
def test_bad_cloth_is_one_sentence_and_the_order_stays(
    case: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    old, new, word = BAD[case]
    path = tmp_path / "order.toml"
    text = ORDER.replace(old, new)
    assert text != ORDER
    path.write_text(text)
    assert command("lay", path, "--seconds", "2") == 2
    said = capsys.readouterr().err
    assert said.startswith("pinwright: ") or "\npinwright: " in said
    sentence = said[said.index("pinwright: ") :]
    assert word in sentence
    assert "Traceback" not in said
    assert "panicked" not in said
    assert path.read_text() == text


@pytest.mark.parametrize("args", [("lay", "--seconds", "60"), ("sheets",), ("recut",)])
def test_a_folder_that_cannot_be_made_leaves_the_order_as_it_was(
    args: tuple[str, ...], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path, in_the_way = tmp_path / "order.toml", tmp_path / "file"
    path.write_text(ORDER)
    in_the_way.write_text("")
    began = time.monotonic()
    assert command(args[0], path, *args[1:], "--out", in_the_way / "drawings") == 2
    assert time.monotonic() - began < 30.0  # nothing was laid before
    assert path.read_text() == ORDER
    assert str(in_the_way) in " ".join(capsys.readouterr().err.split())


def test_reserve_of_the_order_is_on_the_pieces(tmp_path: Path) -> None:
    plain, more = tmp_path / "a.toml", tmp_path / "b.toml"
    plain.write_text(ORDER)
    more.write_text(
        ORDER.replace("[[cloth]]", "[habits]\nreserve = { side_seam = 4.0 }\n[[cloth]]")
    )
    before, after = (pieces_of(run(load(p)).garments[0], "cut")[0] for p in (plain, more))
    for name in ("front", "back"):
        assert after[name].edge("side").reserve == 4.0
        wider = shapely.Polygon(cut_line(after[name])).area
        extra = 4.0 - before[name].edge("side").reserve
        grown = wider - shapely.Polygon(cut_line(before[name])).area
        # a strip along the side, hem turn-up included, is its width times its length
        assert grown == pytest.approx(extra * (before[name].edge("side").length + 6.0), rel=0.05)
        assert np.allclose(after[name].grain, before[name].grain)


def test_a_lay_that_is_stopped_keeps_the_best_so_far(tmp_path: Path) -> None:
    path = tmp_path / "order.toml"
    path.write_text(ORDER)
    code = "import sys; from pinwright.cli import main; sys.argv[0] = 'pinwright'; main()"
    began = time.monotonic()
    with subprocess.Popen(
        [sys.executable, "-c", code, "lay", str(path), "--seconds", "300"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as laying:
        time.sleep(12.0)
        laying.send_signal(signal.SIGINT)
        said, _ = laying.communicate(timeout=120)
    assert laying.returncode == 0
    assert time.monotonic() - began < 100.0
    assert "Grey flannel" in said
    kept = load(path).lays
    assert {k.cloth for k in kept} >= {"grey flannel"}
    for k in lays_of(run(load(path))):
        assert k.kept
        assert all(faults(lay) == () for lay in k.lays)
