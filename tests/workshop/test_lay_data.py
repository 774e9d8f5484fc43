"""The lay as data: whole turns taken off, outlines rounded, and the keys that are documented."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from pinwright.cutting.cutline import cut_line
from pinwright.cutting.lay.placing import Field, Lay, Placement, placed
from pinwright.cutting.material import Material
from pinwright.workshop.job import GarmentJob, run
from pinwright.workshop.lay_report import lays_data
from pinwright.workshop.laying import ClothLay
from pinwright.workshop.lays import lays_of
from pinwright.workshop.order import parse
from pinwright.workshop.stock import Stock, pieces_of
from pinwright.workshop.writing import export_data
from tests.lay.shapes import ell, template
from tests.workshop.flannel import ORDER

PAGE = (Path(__file__).parents[2] / "docs" / "export-format.md").read_text()


def cloth_lay(*rotations: float) -> ClothLay:
    turns = (0.0, 3.0, 357.0, 180.0)
    pieces = tuple(template(f"p{i}", ell(10.0), rotations=turns) for i in range(len(rotations)))
    at = tuple(
        Placement(t.key, 20.0 + 30.0 * i, 20.0, r)
        for i, (t, r) in enumerate(zip(pieces, rotations, strict=True))
    )
    field = Field(150.0, name="the cloth")
    lay = Lay(field, pieces, at, 40.0 + 30.0 * len(at))
    stock = Stock("the cloth", Material(), (("coat", "shell"),))
    return ClothLay(stock, (lay,), False, dt.date(2027, 2, 1), ())


@pytest.mark.parametrize(
    ("turned", "said"),
    [
        (0.0, 0.0),
        (180.0, 180.0),
        (3.0, 3.0),
        (-3.0, 357.0),
        (356.9999999, 357.0),
        (357.0000001, 357.0),
        (359.9999999, 0.0),
        (-1e-7, 0.0),
        (360.0, 0.0),
        (540.0, 180.0),
        (717.0, 357.0),
    ],
)
def test_a_rotation_is_less_than_a_whole_turn_and_free_of_noise(turned: float, said: float) -> None:
    lay = cloth_lay(turned)
    (data,) = lays_data([lay])
    (piece,) = data["placed"]
    assert str(piece["rotation"]) == str(said)
    # the outline is that of the turn, to its rounding
    want = placed(lay.lays[0].templates[0], Placement("p0", 20.0, 20.0, said))
    assert np.allclose(piece["outline"], want, atol=6e-5)
    assert np.array_equal(piece["outline"], np.round(piece["outline"], 4))


def test_every_key_is_documented() -> None:
    (data,) = lays_data([cloth_lay(0.0, 180.0)])
    lay = PAGE[PAGE.index("## The lay") :]
    for key in {*data, "remnant", *data["placed"][0]}:
        assert f"`{key}`" in lay


def area(ring: Any) -> float:
    return float(shapely.Polygon(ring).area)


def test_after_a_fitting_the_lay_shows_the_first_cut_and_the_export_what_it_became() -> None:
    said = ("waistband: waist measured 77", "hem R up 1.5")
    notes = "".join(f'[[fittings.notes]]\ntext = "{n}"\n' for n in said)
    notes = f"[[fittings]]\ndate = 2027-02-01\n{notes}"
    job = run(parse(ORDER + notes, Path("order.toml")))
    assert {n.status for n in job.notes} == {"made"}
    (g,) = job.garments
    shell = next(x for x in lays_data(lays_of(job, seconds=3.0)) if x["layer"] == "shell")
    laid = {(p["piece"], p["side"]): p for p in shell["placed"]}
    (exported,) = export_data(job)["garments"]
    now = {(p["name"], p["side"]): p for p in exported["pieces"]}

    front = laid["front", "right"]
    assert front["cut"] == "fitting"
    was = as_cut(g, "front")
    assert area(front["outline"]) == pytest.approx(was, abs=0.05)
    assert abs(area(now["front", "right"]["cut_line"]) - was) > 5.0
    band = laid["band", "right"]
    assert band["cut"] == "after"
    assert area(band["outline"]) == pytest.approx(area(now["band", "both"]["cut_line"]), abs=0.05)
    assert abs(area(band["outline"]) - as_cut(g, "band")) > 5.0


def as_cut(g: GarmentJob, name: str) -> float:
    return area(cut_line(pieces_of(g, "cut")[0][name]))
