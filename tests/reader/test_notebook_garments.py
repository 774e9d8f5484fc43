"""A question offers only garments that have the place: every rule is asked of a real draft."""

from __future__ import annotations

import pytest

from pinwright.errors import CorrectionError
from pinwright.fitting.catalogue import entry
from pinwright.fitting.reader.places import IN_GARMENT, KIND_GARMENTS, NOUNS, PLACE_GARMENTS
from pinwright.pattern.garment import Garment
from tests.fitting.corrections.claims_trousers import draft

# Refused for what this draft has chosen or for cloth already cut, not for want of the place.
CHOSEN = {("let_out", "centre_back", "jacket"), ("body_length", "body", "jacket")}
OPTIONS = {"waistband_gather": {"stretch": "back"}, "body_length": {"at": "waist"}}


@pytest.fixture(scope="module")
def garments() -> dict[str, Garment]:
    return {style: draft(style, 129) for style in ("trousers", "jacket")}


def offered() -> list[tuple[str, str, str]]:
    found = set()
    for noun in NOUNS.values():
        for rule in noun.acts.values():
            able = PLACE_GARMENTS[rule.place]
            if rule.kind in KIND_GARMENTS:
                able = KIND_GARMENTS[rule.kind][0]
            for garment in able:
                place = IN_GARMENT.get((rule.place, garment), rule.place)
                found.add((rule.kind, place, garment))
    return sorted(found)


@pytest.mark.parametrize(("kind", "place", "garment"), offered())
def test_a_garment_that_is_offered_has_the_place(
    kind: str, place: str, garment: str, garments: dict[str, Garment]
) -> None:
    e = entry(kind)
    options = OPTIONS.get(kind, {})
    if (kind, place, garment) in CHOSEN:
        with pytest.raises(CorrectionError, match=r"cut on the fold|cloth already cut"):
            e.respond(garments[garment], place, e.components[0], options, "cut")
    else:
        e.respond(garments[garment], place, e.components[0], options, "cut")


def test_the_back_is_not_passed_on_trousers(garments: dict[str, Garment]) -> None:
    with pytest.raises(CorrectionError):
        entry("pass_back").respond(garments["trousers"], "side_seam", "amount", {}, "cut")
    assert ("pass_back", "side_seam", "trousers") not in offered()
