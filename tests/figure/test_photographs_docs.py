"""The page on photographs names every place that may be marked, and what the code allows."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from pinwright.figure.photographs.faults import ASLANT, DISTANCE, LENS, ROLL, TALL
from pinwright.figure.photographs.marks import ALIKE, STOOD, TIPPED
from pinwright.figure.photographs.places import CAUTION, FRAME, VIEWS, View, paired, places
from pinwright.figure.photographs.rows import LEAN, MISPLACED
from pinwright.figure.photographs.silhouette import LEANS, MOST, NEAR, ROUND, SHARE
from pinwright.workshop.order import FigureOrder

PAGE = (Path(__file__).parents[2] / "docs" / "figure" / "photographs.md").read_text("utf-8")
WORDS = " ".join(PAGE.split())


def rows(heading: str) -> dict[str, str]:
    """Of the table after some words: each name in its first column, and what the second says."""
    after = PAGE.split(heading, 1)[1].split("\n\n", 2)[1]
    found = {}
    for line in after.splitlines()[2:]:
        names, where = (cell.strip() for cell in line.strip("|").split("|"))
        for name in names.replace("(", "").replace(")", "").replace(",", "").split():
            found[name.strip("`")] = where
    return found


TABLES = {"front": "From the front:", "back": "From the back:"} | dict.fromkeys(
    ("left", "right"), "From the left, and in brackets from the right"
)


@pytest.mark.parametrize("view", VIEWS)
def test_every_place_of_a_view_is_in_its_table_with_its_words(view: View) -> None:
    told = rows("In every photograph,") | rows(TABLES[view])
    assert {p.name: p.where for p in places(view)}.items() <= told.items()
    # and no other but those of the other side
    other = {p.name for p in places("left" if view == "right" else "right")}
    assert set(told) - {p.name for p in places(view)} <= other
    assert all(paired(k)[1] == "right" for k in set(told) - other) or view != "right"


def test_what_serves_the_scale_is_told_first() -> None:
    assert rows("In every photograph,") == dict(FRAME)


def test_the_caution_is_there_word_for_word() -> None:
    bare = CAUTION.removeprefix("A photograph of a client is body data: ").rstrip(".")
    assert "A photograph of a client is body data: " in WORDS
    for part in bare.split(". "):
        assert part in WORDS, part


def test_the_example_is_an_order_that_is_read() -> None:
    text = PAGE.split("```toml", 1)[1].split("```", 1)[0]
    figure = FigureOrder.model_validate(tomllib.loads(text)["figure"])
    (photo,) = figure.marked()
    assert (photo.view, photo.size, photo.distance, photo.lens) == ("front", (1200, 1600), 350, 100)
    assert len(photo.outline) == 3


def test_limits_are_those_of_the_code() -> None:
    for said in (
        f"{DISTANCE[0]:g} to {DISTANCE[1]:g} cm; {LENS[0]:g} to {LENS[1]:g} cm",
        f"{TALL:g} px from crown to floor",
        f"{ROLL:g} degrees are allowed",
        f"{ASLANT:g} degrees off the plumb line",
        f"more than {ALIKE:g} cm apart in two photographs",
        f"at most {STOOD:g} from the measured height",
        f"tipped by more than {TIPPED:g} degrees",
        f"{LEAN:g} degrees one way or the other",
        f"over {MISPLACED:g} cm it is named",
        f"{100.0 * SHARE:g} % of the points judged lie within {NEAR:g} cm",
        f"none beyond {MOST:g} cm",
        f"within {ROUND:g} cm of where an arm begins",
        f"told from {LEANS:g} degrees",
    ):
        assert said in WORDS, said
