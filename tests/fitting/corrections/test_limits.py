"""Every correction at its limits, on a slim and an ordinary body: right, or refused in words."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import pytest

from pinwright.check import all_checks, failures
from pinwright.fitting.catalogue import all_entries
from pinwright.fitting.correction import Correction, Form
from pinwright.fitting.ledger import fit
from pinwright.measures import complete, read_record
from pinwright.workshop.trials import applicable, drafted, option_sets

BODIES = {
    "ordinary": {"height": 168.0, "bust_girth": 92.0, "waist_girth": 74.5, "hip_girth": 99.0},
    "slim": {"height": 172.0, "bust_girth": 80.0, "waist_girth": 62.0, "hip_girth": 86.0},
    "full": {"height": 160.0, "bust_girth": 118.0, "waist_girth": 104.0, "hip_girth": 124.0},
}
GARMENTS = (
    ("slim", "trousers", {"fit": "slim"}),
    ("slim", "jacket", {"ease": "slim", "back": "shoulder_dart"}),
    ("ordinary", "jacket", {"back": "yoke"}),
    ("full", "trousers", {"fit": "loose"}),
)


def at_limits(kind: str, body: str, style: str, choices: dict[str, object]) -> Iterator[str]:
    """What is wrong with an entry's utmost amounts in each form and option."""
    e = all_entries()[kind]
    garment = drafted(style, complete(read_record(BODIES[body])), choices)
    forms: tuple[Form, ...] = ("cut", "next") if e.next_draft is not None else ("cut",)
    for options in option_sets(e):
        for place, form, amount, component in product(
            applicable(garment, e, options), forms, e.limit, e.components
        ):
            fitted = fit(
                garment, [Correction(kind, place, "both", {component: amount}, options, form)]
            )
            assert all(r.reason.endswith(".") for r in fitted.refused)
            for c in failures(all_checks(fitted)):
                yield f"{kind} {place} {options} {form} {amount}: {c.name} {c.value:.3f}"


@pytest.mark.parametrize(
    ("body", "style", "choices"), GARMENTS, ids=lambda v: v if isinstance(v, str) else ""
)
@pytest.mark.parametrize("kind", sorted(all_entries()))
def test_limits_are_kept(kind: str, body: str, style: str, choices: dict[str, object]) -> None:
    assert not list(at_limits(kind, body, style, choices))
