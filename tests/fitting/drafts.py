"""Settled drafts of ordinary and random bodies for the property tests."""

from __future__ import annotations

from functools import lru_cache

from hypothesis import strategies as st

from pinwright.measures import complete, read_record
from pinwright.pattern.garment import Garment
from pinwright.workshop.trials import drafted

ORDINARY = {
    "height": 168.0,
    "bust_girth": 92.0,
    "waist_girth": 74.5,
    "hip_girth": 99.0,
}
VARIANTS: dict[str, tuple[str, dict[str, object]]] = {
    "trousers": ("trousers", {"fit": "loose"}),
    "yoke": ("jacket", {"back": "yoke"}),
    "dart": ("jacket", {"back": "shoulder_dart"}),
}


@lru_cache(maxsize=64)
def draft(variant: str, height: float, bust: float, waist: float, hip: float) -> Garment:
    """A settled draft for four measures (cm)."""
    style, choices = VARIANTS[variant]
    record = {"height": height, "bust_girth": bust, "waist_girth": waist, "hip_girth": hip}
    return drafted(style, complete(read_record(record)), choices)


def ordinary(variant: str) -> Garment:
    """The draft of an ordinary body."""
    return draft(variant, *ORDINARY.values())


def bodies() -> st.SearchStrategy[tuple[float, float, float, float]]:
    """Random women: height, bust, waist, hip in cm, on a grid so that drafts are reused."""
    return st.tuples(
        st.sampled_from([152.0, 160.0, 168.0, 176.0]),
        st.sampled_from([0.0, 6.0, 12.0]),
        st.sampled_from([62.0, 74.0, 88.0, 102.0]),
        st.sampled_from([20.0, 27.0, 34.0]),
    ).map(lambda t: (t[0], t[2] + 16 + t[1], t[2], t[2] + t[3]))
