"""A disc of cloth drapes as published cloths do: Cusick's drape coefficient."""

from __future__ import annotations

import pytest

from pinwright.drape.cloth import row
from tests.drape.physics_disc import cusick

CLOTHS = ("viscose dress cloth", "wool suiting, middle weight", "linen")
"""In order of their bending lengths: 1.4, 1.7 and 2.1 cm."""


def bending_length(name: str) -> float:
    c = row(name).handle.cgs
    return float(((c.bend_along + c.bend_across) / 2.0 / (c.mass * 980.665)) ** (1.0 / 3.0))


@pytest.mark.parametrize("name", CLOTHS)
def test_the_drape_coefficient_lies_where_such_cloths_lie(name: str) -> None:
    found = cusick(name)
    low, high = row(name).drape
    assert found.residual < 1e-2
    assert low <= found.coefficient <= high
    assert 4 <= found.nodes <= 12


def test_stiffer_cloth_drapes_less() -> None:
    # Cusick 1965: the coefficient rises with the bending length
    assert sorted(CLOTHS, key=bending_length) == list(CLOTHS)
    found = [cusick(name).coefficient for name in CLOTHS]
    assert found == sorted(found)
