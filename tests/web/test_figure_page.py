"""The ease on the figure as the page shows it: garment, body and what is between, side to side."""

from __future__ import annotations

import re

import pytest

from pinwright.figure.ease import Ease
from pinwright.web.figure import ease_table
from tests.web.pages import figure_page, read

SOME = (
    Ease("bust", "whole", 111.4, 95.0),
    Ease("bust", "front", 53.1, 48.5),
    Ease("bust", "back", 58.3, 46.5),
    Ease("hem", "whole", 51.0, 22.6, estimated=True, side="right"),
)


def rows(html: str) -> list[list[str]]:
    found = re.findall(r"<tr>(.*?)</tr>", html)
    cells = [re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row) for row in found]
    return [[re.sub(r"<[^>]+>", "", c) for c in row] for row in cells]


def test_garment_body_and_ease_all_round_and_ease_of_front_and_back() -> None:
    html = ease_table("jacket", SOME, "cm")
    assert rows(html) == [
        ["At the", "all round", "ease of the"],
        ["garment", "body", "ease", "front", "back"],
        # by hand: 111.4 - 95.0, 53.1 - 48.5, 58.3 - 46.5
        ["bust", "111.4", "95.0", "16.4", "4.6", "11.8"],
        ["hem, right", "51.0", "22.6", "28.4 est.", "", ""],
    ]
    assert "in cm</caption>" in html
    assert "est.: the body was not taped here." in html


def test_it_says_where_front_and_back_are_parted() -> None:
    parted = "at the side seams of the garment and at the side line of the body"
    assert parted in ease_table("jacket", SOME, "cm")
    assert parted not in ease_table("jacket", SOME[:1], "cm")
    assert "est." not in ease_table("jacket", SOME[:1], "cm")


def test_in_inches_it_has_inches() -> None:
    html = ease_table("jacket", (Ease("bust", "whole", 111.76, 96.52),), "in")
    # by hand: 44 in, 38 in, 6 in
    assert rows(html)[-1] == ["bust", "44", "38", "6", "", ""]
    assert "in inches</caption>" in html


@pytest.mark.parametrize("words", ["Heights are over the floor", "Height over the floor"])
def test_the_heights_are_called_so(words: str) -> None:
    assert words in " ".join(read(figure_page()).texts)
