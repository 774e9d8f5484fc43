"""With one truing step switched off, or one point moved, the right check fails."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np
import pytest

from pinwright.check import all_checks, failures
from pinwright.check.result import Check
from pinwright.check.sewing import balance_checks, seam_checks
from pinwright.fitting import slide, truing
from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import Fitted, Half, Sums, fit, solved
from pinwright.fitting.plan import plan
from pinwright.geometry.cubic import lengths
from pinwright.pattern.garment import Garment
from tests.fitting.drafts import ordinary


def wrong(garment: Garment, *ledger: Correction) -> tuple[Check, ...]:
    return failures(all_checks(fit(garment, ledger)))


@pytest.fixture(autouse=True)
def _forget() -> Iterator[None]:
    """Solved halves are kept by draft and amounts; a mutant must not find the sound ones."""
    solved.cache_clear()
    yield
    solved.cache_clear()


def no(*args: object, **kwargs: object) -> None:
    """A truing step that does nothing."""


BUST = Correction("bust_dart_intake", "bust_dart", "both", {"amount": 1.0})
SIDE = Correction("let_out", "side_seam", "both", {"amount": -1.5})
SHOULDER = Correction("shoulder_slope", "shoulder", "both", {"amount": 1.0})
NECK = Correction("neckline", "front_neck", "both", {"amount": 1.0})


def switch_off(monkeypatch: pytest.MonkeyPatch, step: str) -> None:
    """Switch a truing step off, wherever it is called from."""
    solved.cache_clear()
    followers = {f.__name__: kind for kind, f in truing._FOLLOWERS.items()}
    if step in followers:
        monkeypatch.setitem(truing._FOLLOWERS, followers[step], no)
    else:
        monkeypatch.setattr(truing, step, no)


KEY: Sums = ((("let_out", "side_seam", "amount", (), "cut"), 0.0),)
"""Sums of a ledger that moves nothing: eases may then be anywhere within their limits."""

STEPS: list[tuple[str, str, Correction, str]] = [
    ("_settle", "dart", BUST, "seams"),
    ("_run_through_dart", "dart", BUST, "run-through"),
    ("_follow_armhole", "dart", SIDE, "seams"),
    ("_follow_neck", "dart", NECK, "seams"),
    ("_run_through", "dart", SHOULDER, "run-through"),
    ("_equal_legs", "dart", SHOULDER, "darts"),
]


@pytest.mark.parametrize(("step", "variant", "correction", "group"), STEPS)
def test_a_missing_truing_step_is_found(
    monkeypatch: pytest.MonkeyPatch,
    step: str,
    variant: str,
    correction: Correction,
    group: str,
) -> None:
    garment = ordinary(variant)
    assert not wrong(garment, correction)
    switch_off(monkeypatch, step)
    assert group in {c.group for c in wrong(garment, correction)}


def test_a_slide_that_falls_short_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """Truing that believes it slid an end by the whole amount, while it slid three tenths."""
    garment = ordinary("dart")
    whole = slide.slide_end
    assert not wrong(garment, BUST)
    monkeypatch.setattr(
        truing, "slide_end", lambda span, amount, last: whole(span, 0.3 * amount, last)
    )
    solved.cache_clear()
    assert "side" in {c.where for c in wrong(garment, BUST)}


def test_a_blind_eye_for_corners_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """Truing that takes every corner for square leaves breaks that the check lays out and sees."""
    garment = ordinary("dart")
    monkeypatch.setattr(truing, "interior_angle", lambda ctrl, corner: np.pi / 2)
    solved.cache_clear()
    assert "run-through" in {c.group for c in wrong(garment, SHOULDER)}


def test_a_seat_seam_that_differs_right_and_left_is_found(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A fork extended on the right only must be met by the right waist end."""
    garment = ordinary("trousers")
    fork = Correction("fork_extension", "back_fork", "right", {"amount": 1.0})
    assert not wrong(garment, fork)
    switch_off(monkeypatch, "_settle_centre")
    assert "seat" in {c.where for c in wrong(garment, fork)}


def test_a_band_that_no_longer_fits_its_trousers_is_found(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A dart deeper by one with the band left alone: the trouser top must come back to the band."""
    garment = ordinary("trousers")

    def found() -> set[str]:
        base = garment.layout
        trued = truing.true(plan(garment), base.ctrl, base.aux, {("back", "back dart"): 1.0}, {})
        half = Half(garment, KEY, trued.ctrl, trued.aux, trued.lengths, garment.facts, {}, trued)
        return {c.where for c in seam_checks(half) if c.verdict == "wrong"}

    assert "waist" not in found()
    switch_off(monkeypatch, "_settle_band")
    assert "waist" in found()


def moved(garment: Garment, change: Callable[[np.ndarray, np.ndarray], None]) -> tuple[Check, ...]:
    """The failing checks of a draft with something moved on the paper."""
    base = fit(garment, []).right
    ctrl, aux = base.ctrl.copy(), base.aux.copy()
    change(ctrl, aux)
    half = Half(
        garment,
        (),
        ctrl,
        aux,
        lengths(ctrl),
        garment.facts,
        {},
        truing.Trued(ctrl, aux, lengths(ctrl), (), (), 0),
    )
    return failures(all_checks(Fitted(garment, (), half, half)))


CORNERS = [
    ("dart", "front", "side", True, "side"),
    ("dart", "back", "side", True, "side"),
    ("dart", "back", "side", False, "side"),
    ("dart", "front", "shoulder", False, "shoulder"),
    ("dart", "back", "shoulder", True, "shoulder"),
    ("dart", "sleeve", "under_back", True, "sleeve_under"),
    ("trousers", "front", "side", False, "side"),
    ("trousers", "back", "side", True, "side"),
    ("trousers", "back", "inseam", True, "inseam"),
    ("trousers", "front", "inseam", False, "inseam"),
    ("trousers", "back", "seat", False, "back_crotch"),
    ("trousers", "front", "centre", False, "front_crotch"),
]


@pytest.mark.parametrize(("variant", "piece", "edge", "last", "where"), CORNERS)
@pytest.mark.parametrize("size", [0.15, -0.15])
def test_a_corner_off_by_a_millimetre_and_a_half_is_found(
    variant: str, piece: str, edge: str, last: bool, where: str, size: float
) -> None:
    """Moved along its seam, the corner leaves the seam that much too long or short."""
    garment = ordinary(variant)

    def change(ctrl: np.ndarray, aux: np.ndarray) -> None:
        end = garment.layout.run_end((piece, edge), last)
        span = ctrl[end.span]
        at, arm = (3, 2) if last else (0, 1)
        t = span[at] - span[arm]
        v = size * t / np.hypot(*t)
        span[at] += v
        span[arm] += v
        other, other_last = garment.layout.neighbours[(piece, edge), last]
        far = garment.layout.run_end(other, other_last)
        ctrl[far.span, 3 if far.last else 0] += v
        ctrl[far.span, 2 if far.last else 1] += v

    found = {c.where for c in moved(garment, change)}
    assert where in found


@pytest.mark.parametrize(
    ("variant", "piece", "dart"),
    [
        ("dart", "front", "bust dart"),
        ("dart", "back", "shoulder dart"),
        ("trousers", "front", "front dart"),
    ],
)
def test_a_dart_point_off_its_bisector_is_found(variant: str, piece: str, dart: str) -> None:
    garment = ordinary(variant)
    a, b = garment.piece(piece).mouth(dart)
    v = 0.15 * (b - a) / np.hypot(*(b - a))
    # the legs then differ by 0.3 times the sine of half the dart's angle, and by more the shorter
    # the dart; the check allows 0.05

    def change(ctrl: np.ndarray, aux: np.ndarray) -> None:
        aux[garment.layout.aux_index[piece, "apex", dart]] += v

    d = garment.piece(piece).dart(dart)
    differ = abs(np.hypot(*(a - d.apex - v)) - np.hypot(*(b - d.apex - v)))
    found = {(c.group, c.where) for c in moved(garment, change)}
    assert (("darts", piece) in found) == (differ > 0.05)


def test_a_balance_line_that_leaves_its_marks_is_found() -> None:
    """One asks to look: a mark may have been carried along by an edge on purpose."""
    garment = ordinary("trousers")
    good = fit(garment, [SIDE]).right
    assert ("back", "look") not in {(c.where, c.verdict) for c in balance_checks(good)}
    aux = good.aux.copy()
    aux[garment.layout.aux_index["back", "line", "hip"]] += np.array([0.0, 0.35])
    found = {(c.where, c.verdict) for c in balance_checks(replace(good, aux=aux))}
    assert ("back", "look") in found


@pytest.mark.parametrize("variant", ["dart", "yoke", "trousers"])
def test_every_moved_span_end_inside_an_edge_is_found(variant: str) -> None:
    """A station shifted square to its edge breaks the curve, and the drawing check says so."""
    garment = ordinary(variant)
    for key, runs in garment.layout.runs.items():
        for a, b in runs:
            if b - a < 2:
                continue
            row = (a + b) // 2

            def change(ctrl: np.ndarray, aux: np.ndarray, row: int = row) -> None:
                t = ctrl[row, 1] - ctrl[row, 0]
                n = np.array([t[1], -t[0]]) / np.hypot(*t)
                ctrl[row, 0] += 0.15 * n
                ctrl[row - 1, 3] += 0.15 * n

            found = {(c.group, c.where) for c in moved(garment, change)}
            assert ("curves", key[0]) in found, key


def test_a_crossed_outline_is_found() -> None:
    garment = ordinary("dart")

    def change(ctrl: np.ndarray, aux: np.ndarray) -> None:
        rows = garment.layout.span_ids(("sleeve", "cap"))
        ctrl[rows[len(rows) // 2 - 1], 1:3, 1] -= 200.0

    assert ("outlines", "sleeve") in {(c.group, c.where) for c in moved(garment, change)}
