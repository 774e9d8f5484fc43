"""What the page says: every number once and alike, sentences with capitals, lists without signs."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from pinwright.cutting.sentences import capital
from pinwright.figure.ease import Ease, ease_warnings, ease_words
from pinwright.pattern.piece import Piece
from pinwright.sheets.lay_picture import HELD, how, numbered
from pinwright.web.figure import ease_table
from pinwright.web.lay import _pieces
from pinwright.web.table import moved, views
from pinwright.workshop.basting_words import ORDERED, plan_of, plan_words
from pinwright.workshop.demo import paper_title
from tests.sheets.lays import folded, single
from tests.web.pages import demo_job, demo_page, demo_read, figure_page, read


def test_no_number_is_less_than_nothing_by_nothing() -> None:
    cells = [t for tag, _, t in demo_read().names if tag == "td"]
    assert "0.00" in cells
    assert not [c for c in cells if re.match(r"-0(\.0+)?(?![\d.])", c)]


def test_basting_is_told_in_lists_that_have_their_own_signs() -> None:
    items = [t for tag, _, t in demo_read().names if tag == "li"]
    assert not [t for t in items if re.match(r"(-|–|\d+\.) ", t)]
    for g in demo_job().garments:
        p = plan_words(plan_of(g), demo_job().order.client.units)
        assert all(x in items for x in (*p.traces, *p.steps))
        assert f"<p>{ORDERED}</p><ol><li>{p.steps[0][:4]}" in demo_page()


@pytest.mark.parametrize("lay", [single, folded])
def test_beside_a_lay_every_piece_is_told_with_how_it_lies(lay: object) -> None:
    laid, material = lay()  # type: ignore[operator]
    found = read(_pieces(laid, material, "cm"))
    rows = {t.split()[0]: t for tag, _, t in found.names if tag == "li"}
    told = set()
    for n, p in enumerate(numbered(laid), 1):
        said = set(how(laid.template(p.key), p)) - {HELD}
        assert all(f in rows[str(n)].partition(": ")[2].split(", ") for f in said)
        told |= said
    assert told & {"face down", "turned"}
    assert len(rows) == len(laid.placements)


def test_ease_is_what_is_left_of_the_numbers_beside_it() -> None:
    some = [Ease("bust", "whole", 111.354, 95.04), Ease("hip", "whole", 84.96, 85.02)]
    cells = [t for tag, _, t in read(ease_table("jacket", some, "cm")).names if tag == "td"]
    assert cells[:3] == ["111.4", "95.0", "16.4"]
    assert cells[5:8] == ["85.0", "85.0", "0.0"]
    assert "111.4 cm round, 16.4 cm more" in ease_words(some[:1])[0]
    assert not any("0.0 cm smaller" in w for w in ease_warnings(some))
    inches = [t for tag, _, t in read(ease_table("jacket", some[:1], "in")).names if tag == "td"]
    assert inches[:3] == ["43 7/8", "37 3/8", "6 1/2"]


def test_a_piece_counts_as_moved_when_a_person_would_see_it() -> None:
    piece = demo_job().garments[0].draft.piece("front")

    def with_apex(by: float) -> Piece:
        first, *rest = piece.darts
        return replace(piece, darts=(replace(first, apex=first.apex + np.array([by, 0.0])), *rest))

    assert not moved(piece, piece)
    assert not moved(piece, with_apex(0.04))
    assert moved(piece, with_apex(0.06))


def test_a_piece_that_only_lies_elsewhere_has_not_moved() -> None:
    trousers, jacket = demo_job().garments
    shown = {v.piece.name: v for v in views(jacket)}
    # the pocket went lower, and the patch with it as it is
    assert shown["patch_pocket"].before is None
    assert shown["front"].before is not None
    # the fly facing follows the front by a quarter of a millimetre
    assert {v.piece.name: v for v in views(trousers)}["fly_facing"].before is None


def test_sheets_have_names_to_read() -> None:
    names = {
        "recut/trousers-recut-a4.pdf": "Trousers, recut on A4 (PDF)",
        "sheets/jacket-large.pdf": "Jacket, pattern on large paper (PDF)",
        "lays/lay-a4.pdf": "Lays on A4 (PDF)",
        "lays/lay-shell-navy-wool-serge-1to1.pdf": "Lay at full size: shell navy wool serge (PDF)",
        "figure/how-to-tape.pdf": "How to tape (PDF)",
        "figure/figure-left.svg": "Figure, left (SVG)",
        "drape/drape-sheet.pdf": "How it hangs, sheet (PDF)",
        "drape/jacket.glb": "Jacket on the figure (GLB)",
    }
    assert {p: paper_title(Path(p)) for p in names} == names


def test_sentences_of_the_figure_begin_with_capitals() -> None:
    found = read(figure_page())
    at = next(i for i, t in enumerate(found.texts) if t == "What the figure tells")
    said = [t for tag, _, t in found.names if tag == "li" and "Second opinions" in t]
    assert at
    assert said
    for sentence in re.split(r"(?<=[a-z]\.) ", said[0]):
        assert sentence == capital(sentence)
