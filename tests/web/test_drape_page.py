"""What the page tells of a hung garment: doubts before the signs, each said once."""

from __future__ import annotations

from dataclasses import replace

from pinwright.drape.pictures.picture import look_at
from pinwright.drape.reading.sign import Sign
from pinwright.web.drape import drape_section
from tests.drape.pictures.tube import shown

LAYERS = "Its own layers pass through each other here: kept apart they did not come to rest."
PULLED = "The waist is pulled down with 14.4 times the weight of the cloth: the rise is short."


def test_layers_that_pass_through_each_other_and_a_waist_pulled_down_stand_before_the_signs() -> (
    None
):
    plain = shown()
    sign = Sign("strained", "hip", "left", 0.05, 0.02, "", "stretched 5.0% across", ())
    hung = replace(plain.hung, remarks=(*plain.hung.remarks, PULLED, LAYERS))
    page = drape_section([look_at(replace(plain, signs=(sign,), hung=hung), high=60)], None, "cm")
    page = page[page.index('<div class="drape-garment">') :]
    told = page[: page.index("<img")] + page[page.index('<div class="drape-told">') :]
    found = [told.find(w) for w in (LAYERS, PULLED, "stretched 5.0% across", "The hem was not")]
    assert -1 not in found
    assert found == sorted(found)
    assert (told.count(LAYERS), told.count(PULLED)) == (1, 1)
