"""Movements in a cutter's words."""

from __future__ import annotations

from dataclasses import replace

import pytest

from pinwright.fitting.changes import Moved
from pinwright.fitting.ledger import fit
from pinwright.measures.amounts import amount
from pinwright.sheets.changes import marked
from pinwright.sheets.moved import between, move, sentence, station_words
from tests.fitting.corrections.claims_trousers import draft
from tests.sheets.orders import correction, garment


def fact(name: str, change: float) -> Moved:
    return Moved("", "trousers", name, 0.0, 0.0, "", change, "fact")


def inner(kind: str, piece: str, title: str, name: str, out: float, along: float) -> Moved:
    return Moved(piece, title, name, out, along, "", 0.0, kind)


@pytest.mark.parametrize(
    ("side", "changed", "said"),
    [
        (
            "both",
            fact("pocket_top_above_hip", -0.5),
            "front, top of the pocket above the hip: 0.5 lower",
        ),
        ("both", fact("pocket_top", 0.5), "front, top of the pocket: 0.5 lower"),
        ("both", fact("pocket_length", 1.0), "front, pocket opening: 1.0 longer"),
        (
            "right",
            fact("sleeve_pitch", 0.5),
            "right sleeve, marks at the cap: 0.5 forward in the armhole",
        ),
        (
            "both",
            inner("dart point", "back", "Back", "shoulder dart", 0.0, 0.5),
            "back, shoulder dart point: 0.5 higher",
        ),
        (
            "left",
            inner("dart point", "back", "trouser back", "back dart", 0.3, 0.0),
            "left back dart point: 0.3 towards the side",
        ),
        (
            "both",
            inner("line", "front", "Front", "centre_front", -0.2, 0.0),
            "front, centre front line: 0.2 towards the centre",
        ),
        (
            "both",
            replace(
                inner("line", "front", "trouser front", "pocket opening", 0.0, -1.0), at="lower end"
            ),
            "front, pocket opening: lower end 1.0 lower",
        ),
        (
            "both",
            Moved("front", "Front", "front_edge", 0.0, 1.0, "hem_front", 1.0),
            "front edge: slides 1.0 at the hem, 1.0 longer",
        ),
        (
            "right",
            Moved("back", "trouser back", "hem", -1.5, 0.0, "hem_in", 0.0),
            "right back, hem: 1.5 up at the inseam",
        ),
    ],
)
def test_a_change_is_said_as_at_the_table(side: str, changed: Moved, said: str) -> None:
    assert sentence(move(side, changed)) == said


def test_a_point_is_named_by_the_other_edge() -> None:
    assert station_words("centre", "band_centre") == "lower edge"
    assert station_words("seam", "band_centre") == "centre"
    assert station_words("yoke", "yoke_arm") == "armhole"
    assert station_words("armhole", "yoke_arm") == "yoke"


def test_what_would_round_to_nothing_keeps_two_decimals() -> None:
    assert amount(0.04, "cm") == "0.04"
    assert amount(-0.04, "cm") == "0.04"
    assert amount(0.06, "cm") == "0.1"
    assert amount(0.0, "cm") == "0.0"
    assert amount(2.54 / 50, "in") == "0.02 in"
    assert amount(2.54 / 8, "in") == "1/8 in"
    assert marked(0.04, "cm") == "0.04"
    assert marked(2.54 / 8, "in") == '1/8"'


@pytest.mark.parametrize(
    ("name", "kind", "place", "said"),
    [
        ("trousers", "pocket_opening", "side_pocket", "lower end 1.0 lower, 1.0 longer"),
        ("trousers", "pocket_move", "side_pocket", "1.0 lower"),
        (
            "jacket",
            "pocket_opening",
            "patch_pocket",
            "end at the centre 0.5 towards the centre, end at the side 0.5 towards the side, "
            "1.0 longer",
        ),
        ("jacket", "pocket_move", "patch_pocket", "1.0 lower"),
    ],
)
def test_of_an_opening_is_said_which_end_moved(name: str, kind: str, place: str, said: str) -> None:
    """One cm longer or lower: a side pocket's top stays, a patch pocket grows both ways."""
    own = draft("jacket", 0) if name == "jacket" else garment(name)
    moves = between(fit(own, ()), fit(own, (correction(kind, place, 1.0),)))
    opening = next(x.name for p in own.pieces for x in p.lines if x.kind == "opening")
    (did,) = [m.did for m in moves if m.key == f"front|line:{opening}"]
    assert did == said
