"""A fixed sample of the whole matrix (``make prove`` runs all of it).

Every correction by half and full usual amounts, both ways, and random ledgers, on real bodies:
every check passes, or the correction is refused with its reason. Nothing fails silently.
"""

from __future__ import annotations

import random
from collections import Counter

import pytest

from pinwright.fitting.catalogue import all_entries
from pinwright.measures import complete, read_record
from pinwright.measures.bdims import women
from pinwright.workshop.prove import MATRIX, VARIANTS
from pinwright.workshop.trials import attempt, drafted, random_ledger, singles

SAMPLE = (3, 71, 140, 229)


@pytest.mark.parametrize("index", SAMPLE)
@pytest.mark.parametrize("variant", MATRIX, ids=lambda v: v[0])
def test_every_correction_on_a_real_body(
    index: int, variant: tuple[str, dict[str, object]]
) -> None:
    style, choices = variant
    garment = drafted(style, complete(read_record(women()[index])), choices)
    found = [attempt(name, garment, (c,)) for name, c in singles(garment)]
    wrong = [t for t in found if t.status == "wrong"]
    assert not wrong, wrong[:5]
    counts = Counter(t.status for t in found)
    assert counts["good"] > 100
    # usual amounts must hardly ever be refused
    assert counts["refused"] <= 0.02 * len(found), [t for t in found if t.status == "refused"][:5]
    assert all(t.says for t in found if t.status == "refused")


@pytest.mark.parametrize("index", SAMPLE)
@pytest.mark.parametrize("variant", MATRIX, ids=lambda v: v[0])
def test_random_ledgers_on_a_real_body(index: int, variant: tuple[str, dict[str, object]]) -> None:
    style, choices = variant
    garment = drafted(style, complete(read_record(women()[index])), choices)
    rng = random.Random(f"sample {index} {style}")
    for _ in range(12):
        trial = attempt("random ledger", garment, random_ledger(garment, rng))
        assert trial.status != "wrong", trial.says
        assert trial.status == "good" or trial.says


@pytest.mark.parametrize(
    "variant", VARIANTS, ids=lambda v: " ".join((v[0], *map(str, v[1].values())))
)
def test_every_tenth_woman_drafts(variant: tuple[str, dict[str, object]]) -> None:
    style, choices = variant
    for person in women()[::10]:
        garment = drafted(style, complete(read_record(person)), choices)
        trial = attempt("draft", garment, ())
        assert trial.status == "good", trial.says


def test_the_matrix_tries_every_kind() -> None:
    """No correction is left out because its place was never found."""
    tried = set()
    for style, choices in (*MATRIX, VARIANTS[4]):
        garment = drafted(style, complete(read_record(women()[0])), choices)
        tried |= {c.kind for _, c in singles(garment)}
    assert tried == set(all_entries())
