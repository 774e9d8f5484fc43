"""Slim trousers hung on a figure: as drafted, and with the legs drafted to turn on purpose."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from pinwright.draft.blocks import trouser_leg
from pinwright.drape.cloth import handle
from pinwright.drape.draping import Garb, draped
from pinwright.drape.reading import Reading, read
from pinwright.drape.reading.judge import judge
from pinwright.figure.figure import Figure, figure_of
from pinwright.fitting.ledger import fit
from pinwright.measures.bdims import women
from pinwright.measures.estimate import Body, complete
from pinwright.measures.record import read_record
from pinwright.workshop.trials import drafted

Point = tuple[float, float]


@cache
def someone() -> tuple[Body, Figure]:
    body = complete(read_record(women()[107]))
    return body, figure_of(body)


def hung() -> Reading:
    body, figure = someone()
    fitted = fit(drafted("trousers", body, {"fit": "slim"}), [])
    cloth = handle("wool suiting, middle weight")
    garb = Garb(fitted.garment, fitted.right.by_name, fitted.left.by_name, cloth)
    return read(draped(garb, figure, edge=3.0, enough=0.2), figure.marks.points)


def moved(draw: Callable[..., Any], by: float) -> Callable[..., Any]:
    """A seam of the leg drawn with its hem moved by so much, cm, and its knee by 0.6 of it."""

    def drawn(hem: Point, knee: Point, *rest: Any, **named: Any) -> Any:
        return draw((hem[0] + by, hem[1]), (knee[0] + 0.6 * by, knee[1]), *rest, **named)

    return drawn


def swinging(reading: Reading) -> list[str]:
    return [s.seen for s in judge(reading) if s.kind == "swings"]


def test_slim_trousers_lie_on_legs_that_slope_back_and_that_is_no_sign() -> None:
    reading = hung()
    for seam in reading.levels.seams:
        assert seam.at["hem"] > 2.0
        assert seam.forwards == pytest.approx(0.0, abs=0.2)  # they lie on the calf
        assert seam.beside == pytest.approx(0.0, abs=0.8)
    assert swinging(reading) == []
    # hanging as far back on a leg with room before it they are told
    free = tuple(replace(s, forwards=9.0) for s in reading.levels.seams)
    (told,) = swinging(replace(reading, levels=replace(reading.levels, seams=free)))
    assert "swings to the back" in told


@pytest.mark.parametrize(("by", "way"), [(-2.0, "before"), (2.0, "behind")])
def test_a_side_seam_drafted_beside_the_leg_is_told(
    monkeypatch: pytest.MonkeyPatch, by: float, way: str
) -> None:
    for part, out in (("front", by), ("back", -by)):
        drawn = moved(trouser_leg.side_seam, out)
        monkeypatch.setattr(f"pinwright.draft.blocks.trouser_{part}.side_seam", drawn)
    (told,) = swinging(hung())
    assert f"{way} the middle of the leg at the hem" in told
