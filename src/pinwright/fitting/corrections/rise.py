"""The rise: crotch depth, back rise (seat wedge), front rise."""

from __future__ import annotations

import numpy as np

from pinwright.errors import CorrectionError
from pinwright.fitting.correction import Entry, Option, Options
from pinwright.fitting.crotch import DOWN, Crotch, crotch, move_fork, move_line, raise_waist, wedge
from pinwright.fitting.places import closed, length_effects, point
from pinwright.fitting.response import Field, Response, Sketch
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Array


def lower_crotch(garment: Garment, place: str, component: str, options: Options) -> Response:
    """The crotch one cm deeper on cloth already cut: both forks drop, their extension stays.

    The curves are cut lower from the hip down and the inseams shorter at the fork; waist, hip and
    the side seams do not move.
    """
    sketch = Sketch(garment)
    for part in ("front", "back"):
        c = crotch(garment, part)
        move_fork(sketch, c, DOWN)
        move_line(sketch, c.line[0], "crotch", DOWN)
    _shorter_inseam(sketch)
    return closed(sketch)


def lower_crotch_next(garment: Garment, place: str, component: str, options: Options) -> Response:
    """The crotch one cm deeper in a draft not yet cut: the whole crotch level drops.

    Hip and knee stay; between them every level moves down, full at the crotch line, so the side
    notch and the thigh go with it.
    """
    sketch = Sketch(garment)
    for part in ("front", "back"):
        c = crotch(garment, part)
        piece = c.line[0]
        knee = float(point(garment, piece, "inseam:knee")[1])
        at = float(point(garment, piece, "side:crotch")[1])
        sketch.field((piece,), _bump_down(knee, min(at, float(c.fork[1])), at, float(c.hip[1])))
    _shorter_inseam(sketch)
    return closed(sketch)


def _shorter_inseam(sketch: Sketch) -> None:
    for part in ("front", "back"):
        length_effects(sketch, crotch(sketch.garment, part).inseam, -1.0)


def _bump_down(knee: float, low: float, high: float, hip: float) -> Field:
    """Down by one between the levels ``low`` and ``high``, fading to nothing at knee and hip."""
    if hip - high < 2.0 or low - knee < 4.0:
        raise CorrectionError("Hip, crotch and knee lie too close to re-draw the crotch level.")

    def move(p: Array) -> tuple[Array, Array]:
        y = p[:, 1]
        below = np.clip((y - knee) / (low - knee), 0.0, 1.0)
        above = np.clip((hip - y) / (hip - high), 0.0, 1.0)
        u = np.minimum(below, above)
        slope = np.where(above < below, -1.0 / (hip - high), 1.0 / (low - knee))
        w, g = u * u * (3 - 2 * u), 6 * u * (1 - u) * slope
        zero = np.zeros_like(w)
        jac = np.stack([np.stack([zero, zero], axis=1), np.stack([zero, -g], axis=1)], axis=1)
        return np.stack([zero, -w], axis=1), jac

    return move


def back_rise(garment: Garment, place: str, component: str, options: Options) -> Response:
    """Seat seam one cm longer at its waist end, the waist fading to nothing at the side."""
    return _raised(garment, "back")


def back_rise_next(garment: Garment, place: str, component: str, options: Options) -> Response:
    """A wedge over the hip line, one cm at the seat seam and nothing at the side."""
    return _wedged(garment, "back")


def front_rise(garment: Garment, place: str, component: str, options: Options) -> Response:
    """Centre front one cm longer at its waist end, the waist fading to nothing at the side."""
    return _raised(garment, "front")


def front_rise_next(garment: Garment, place: str, component: str, options: Options) -> Response:
    """A wedge over the hip line, one cm at the centre front and nothing at the side."""
    return _wedged(garment, "front")


def _raised(garment: Garment, part: str) -> Response:
    sketch = Sketch(garment)
    raise_waist(sketch, crotch(garment, part))
    return closed(sketch)


def _wedged(garment: Garment, part: str) -> Response:
    sketch = Sketch(garment)
    c: Crotch = crotch(garment, part)
    wedge(sketch, c)
    return closed(sketch)


KEEP = Option("keep", "what stays level", ("waist", "side"), None)

ENTRIES = (
    Entry(
        kind="crotch_depth",
        title="Crotch deeper or shallower",
        plus="deepens it",
        signs=(
            "trousers cut into the crotch, front and back alike: too shallow",
            "loose cloth hanging at the crotch, stride short: too deep",
        ),
        places=("crotch",),
        usual=(-1.0, 1.5),
        limit=(-2.0, 2.0),
        meanings=("level",),
        one_sided=False,
        options=(KEEP,),
        sources=(
            "lowering the crotch curve at most 1-1.5, then re-cut (sources 3.3, M)",
            "body rise plus 1-2 (sources 2.5, M)",
        ),
        effects="both crotch lengths grow, the inseam shortens by the amount; waist and side stay",
        order=22,
        companions=("forks are walked again",),
        cut=lower_crotch,
        next_draft=lower_crotch_next,
    ),
    Entry(
        kind="seat_wedge",
        title="Back rise longer or shorter",
        plus="lengthens it",
        signs=(
            "waist pulled down at the back, tight lines under the seat: lengthen",
            "loose folds under the seat of a flat seat: shorten",
        ),
        places=("seat",),
        usual=(-1.5, 2.0),
        limit=(-3.0, 3.0),
        meanings=("level",),
        one_sided=False,
        options=(KEEP,),
        sources=(
            "slash and raise at centre back 0.6-2.5 (sources 3.2, M)",
            "let down and lengthen the seat seam (sources 3.2, R)",
        ),
        effects="seat seam longer by the amount at centre back, nothing at the side",
        order=21,
        companions=("reserve at the back waist when longer", "darts keep their legs equal"),
        cut=back_rise,
        next_draft=back_rise_next,
    ),
    Entry(
        kind="front_rise",
        title="Front rise longer or shorter",
        plus="lengthens it",
        signs=(
            "frown at the front crotch, loose folds pointing up: shorten",
            "front waist pulled down when sitting: lengthen",
        ),
        places=("front_waist",),
        usual=(-1.5, 1.5),
        limit=(-3.0, 3.0),
        meanings=("level",),
        one_sided=False,
        options=(KEEP,),
        sources=(
            "fold out 0.5-1.5 at centre front, nothing at the side, or lower the waist "
            "(sources 3.2, M)",
        ),
        effects="centre front longer by the amount, nothing at the side",
        order=21,
        companions=("fly",),
        cut=front_rise,
        next_draft=front_rise_next,
    ),
)
