"""The export, re-measured by shapely from nothing but its JSON."""

from __future__ import annotations

import json
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
import shapely

from pinwright.draft import style
from pinwright.fitting.ledger import fit
from pinwright.sheets.export import export_json, exported, write_export
from tests.cutting.skirt import skirt
from tests.sheets.orders import fitted

PIECE_KEYS = {
    "name", "side", "layer", "cut", "net", "cut_line", "edges", "darts", "notches",
    "openings", "balance_lines", "grain", "fold",
}  # fmt: skip
SEAM_KEYS = {
    "name", "a", "b", "length_a", "length_b", "planned_difference", "stretches", "anchor",
    "gives", "side",
}  # fmt: skip


def read(name: str) -> dict[str, Any]:
    if name == "skirt":
        text = export_json(fit(skirt(), ()))
    else:
        text = export_json(fitted(name), style(name).derive)
    data: dict[str, Any] = json.loads(text)
    return data


GARMENTS = ["skirt", "trousers", "jacket"]


def piece(data: dict[str, Any], name: str, side: str) -> dict[str, Any]:
    found: dict[str, Any] = next(
        p for p in data["pieces"] if p["name"] == name and p["side"] in (side, "both")
    )
    return found


def sewn(p: dict[str, Any], edge: str) -> float:
    """As docs/export-format.md says: the polyline less the mouths of its darts."""
    mouths = sum(float(d["intake"]) for d in p["darts"] if d["edge"] == edge)
    return float(shapely.LineString(p["edges"][edge]).length) - mouths


def slack(p: dict[str, Any], edge: str) -> float:
    """What chords may be short by: with sagitta h over a chord c, 8 h² / 3 c each."""
    points = [shapely.Point(q) for q in p["edges"][edge]]
    chords = [float(a.distance(b)) for a, b in pairwise(points)]
    return float(sum(8 * 0.01**2 / (3 * c) for c in chords if c > 0.05)) + 1e-3


@pytest.mark.parametrize("name", GARMENTS)
def test_the_keys_are_those_documented(name: str) -> None:
    data = read(name)
    assert all(set(p) == PIECE_KEYS for p in data["pieces"])
    assert all(set(s) == SEAM_KEYS for s in data["seams"])
    page = (Path(__file__).parents[2] / "docs" / "export-format.md").read_text()
    for key in PIECE_KEYS | SEAM_KEYS:
        assert f"`{key}`" in page


@pytest.mark.parametrize("name", GARMENTS)
def test_seam_lengths_can_be_measured_again(name: str) -> None:
    data = read(name)
    for s in data["seams"]:
        side = "right" if s["side"] == "both" else s["side"]
        for run in ("a", "b"):
            owners = [(piece(data, r["piece"], side), r["edge"]) for r in s[run]]
            measured = sum(sewn(p, e) for p, e in owners)
            room = sum(slack(p, e) for p, e in owners)
            assert measured == pytest.approx(s[f"length_{run}"], abs=room)
            assert sum(t[f"length_{run}"] for t in s["stretches"]) == pytest.approx(
                s[f"length_{run}"], abs=2e-3
            )
        assert s["planned_difference"] == pytest.approx(
            sum(t["planned_difference"] for t in s["stretches"]), abs=1e-3
        )


@pytest.mark.parametrize("name", GARMENTS)
def test_stretches_lie_between_the_notches(name: str) -> None:
    data = read(name)
    looked = 0
    for s in data["seams"]:
        if len(s["b"]) != 1 or len(s["a"]) != 1:
            continue
        side = "right" if s["side"] == "both" else s["side"]
        for run in ("a", "b"):
            (r,) = s[run]
            p = piece(data, r["piece"], side)
            if any(d["edge"] == r["edge"] for d in p["darts"]):
                continue
            line = shapely.LineString(p["edges"][r["edge"]])
            at = {
                n["name"]: line.project(shapely.Point(n["at"]))
                for n in p["notches"]
                if n["edge"] == r["edge"]
            }
            for t in s["stretches"]:
                if t["from"] in at and t["to"] in at:
                    gap = abs(at[t["to"]] - at[t["from"]])
                    assert gap == pytest.approx(t[f"length_{run}"], abs=slack(p, r["edge"]))
                    looked += 1
    assert looked or name == "skirt"


@pytest.mark.parametrize("name", GARMENTS)
def test_outlines_are_closed_simple_and_inside_the_cut_line(name: str) -> None:
    for p in read(name)["pieces"]:
        assert p["net"][0] == p["net"][-1]
        assert p["cut_line"][0] == p["cut_line"][-1]
        net, cut = shapely.Polygon(p["net"]), shapely.Polygon(p["cut_line"])
        assert net.is_valid
        assert cut.is_valid
        assert cut.buffer(0.011).covers(net)
        on_fold = p["fold"]
        assert (p["cut"] == "fold") == (on_fold is not None)
        if on_fold:
            fold = shapely.LineString(p["edges"][on_fold])
            assert cut.exterior.buffer(1e-3).covers(fold)


@pytest.mark.parametrize("name", ["trousers", "jacket"])
def test_dart_legs_meet_at_the_apex_and_measure_the_same(name: str) -> None:
    darts = [d for p in read(name)["pieces"] for d in p["darts"]]
    assert darts
    for d in darts:
        one, two = (shapely.LineString(leg) for leg in d["legs"])
        assert d["legs"][0][-1] == d["apex"] == d["legs"][1][-1]
        assert abs(one.length - two.length) < 0.05
        mouth = shapely.Point(d["legs"][0][0]).distance(shapely.Point(d["legs"][1][0]))
        assert mouth == pytest.approx(d["intake"], abs=2e-4)


def test_one_sided_corrections_export_both_sides() -> None:
    data = read("trousers")
    sides = {(p["name"], p["side"]) for p in data["pieces"]}
    assert ("front", "right") in sides
    assert ("front", "left") in sides
    assert {s["side"] for s in data["seams"] if s["name"] == "side"} == {"right", "left"}
    plain = exported(fitted("trousers", False))
    assert {p["side"] for p in plain["pieces"]} == {"both"}
    assert {s["side"] for s in plain["seams"]} == {"both"}


def test_numbers_are_rounded_and_the_file_is_whole(tmp_path: Path) -> None:
    path = write_export(tmp_path / "skirt.json", fit(skirt(), ()))
    text = path.read_text()
    assert json.loads(text)["unit"] == "cm"
    for p in json.loads(text)["pieces"]:
        for x, y in [*p["net"], *p["cut_line"]]:
            assert round(x, 4) == x
            assert round(y, 4) == y
    assert [f.name for f in tmp_path.iterdir()] == ["skirt.json"]


def test_pocket_openings_are_there_with_their_ends() -> None:
    """A side pocket's opening lies on the side, its length as chosen; a patch pocket's inside."""
    (side,) = piece(read("trousers"), "front", "right")["openings"]
    assert (side["name"], side["edge"]) == ("pocket opening", "side")
    assert side["length"] == pytest.approx(15.5, abs=1e-3)
    edge = shapely.LineString(piece(read("trousers"), "front", "right")["edges"]["side"])
    for end in (side["line"][0], side["line"][-1]):
        assert edge.distance(shapely.Point(end)) < 0.011
    assert shapely.LineString(side["line"]).length == pytest.approx(15.5, abs=0.01)
    (patch,) = piece(read("jacket"), "front", "right")["openings"]
    assert patch["edge"] is None
    assert piece(read("trousers"), "back", "right")["openings"] == []
