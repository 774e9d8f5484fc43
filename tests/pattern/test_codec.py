"""A frozen draft comes back bit for bit."""

from __future__ import annotations

import numpy as np
import pytest

from pinwright.check import all_checks
from pinwright.errors import OrderError
from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import fit, same
from pinwright.pattern.codec import from_plain, pack, to_plain, unpack
from tests.fitting.drafts import VARIANTS, ordinary


@pytest.mark.parametrize("variant", sorted(VARIANTS))
def test_round_trip_is_exact(variant: str) -> None:
    garment = ordinary(variant)
    back = unpack(pack(garment))
    assert np.array_equal(back.layout.ctrl, garment.layout.ctrl)
    assert np.array_equal(back.layout.aux, garment.layout.aux)
    assert to_plain(back) == to_plain(garment)
    ledger = [Correction("let_out", "side_seam", "right", {"amount": 0.7})]
    assert same(fit(garment, ledger).right, fit(back, ledger).right)
    assert all_checks(fit(garment, ledger)) == all_checks(fit(back, ledger))


def test_damaged_text_is_refused_in_one_sentence() -> None:
    text = pack(ordinary("dart"))
    for bad in (text[:-20], text[:500], "", "not a draft", text.replace("a", "b", 40)):
        with pytest.raises(OrderError, match="frozen draft") as caught:
            unpack(bad)
        assert "\n" not in str(caught.value)


def test_newer_version_is_refused() -> None:
    data = to_plain(ordinary("dart"))
    data["version"] = 99
    with pytest.raises(OrderError, match="version 99"):
        from_plain(data)
