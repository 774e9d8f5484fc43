"""Will the lining sew together, to its facing and into its shell, and not pull at it.

Every length is measured anew on the pieces, shell and lining side by side; nothing of how the
lining was drawn is believed but the ease that its rules plan.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

import numpy as np
import shapely

from pinwright.check.drawing import net_polyline, outline_check
from pinwright.check.result import Check, judged
from pinwright.fitting.ledger import Fitted
from pinwright.makingup.lining import (
    HEM_ABOVE,
    PLEAT,
    SHOULDER_EASE,
    SIDE_EASE,
    UNDERARM_UP,
)
from pinwright.makingup.lining_sleeve import SEAM_EASE, SLEEVE_HEM_ABOVE, SLEEVE_UP
from pinwright.makingup.trouser_lining import ABOVE_HEM
from pinwright.pattern.piece import Edge, Piece

SEAM = 0.1
"""A lining's seam may be off its planned difference by this, cm: as the shell's (design 8)."""
WIDTH = 0.2
"""A lining's width may be off the shell's and the planned ease by this, cm."""
CAP_MORE, CAP_OFF = 0.5, 0.6
"""The lining's cap has in each half the shell's ease and up to about 1 more, cm: pleated in by
hand, so it may vary more than the shell's; never less, or the sleeve pulls (common practice)."""
HEM_OFF = 0.5
"""The lining's fold may hang higher or lower than planned by this, cm: never past the hem."""
DART_LEGS = 0.05
GROUP = "lining"

Pieces = Mapping[str, Piece]


def lining_checks(pieces: Pieces) -> tuple[Check, ...]:
    """Every check of the lining among solved and derived pieces by name; none without lining.

    ``pieces`` is one side's: ``half.by_name`` and what the style derives from it.
    """
    linings = [p for p in pieces.values() if p.layer == "lining"]
    if not linings:
        return ()
    found = [outline_check(p) for p in linings]
    found += [c for p in linings for c in _legs(p)]
    if "lining_back" in pieces:
        found += _seams(pieces)
        found += _caps(pieces)
        found += _widths(pieces)
        found += _hems(pieces)
    else:
        found += _trousers(pieces["front"], pieces["lining_front"])
    return tuple(found)


def fitted_lining_checks(
    fitted: Fitted, made_up: Mapping[str, tuple[Piece, ...]]
) -> tuple[Check, ...]:
    """The lining's checks of a fitted garment, side by side where right and left differ.

    ``made_up`` are by side, as in ``fitted.halves``, the pieces that follow by rule.
    """
    found: list[Check] = []
    for side, half in fitted.halves:
        checks = lining_checks({**half.by_name, **{p.name: p for p in made_up[side]}})
        found += checks if side == "both" else [replace(c, side=side) for c in checks]
    return tuple(found)


def _seam(name: str, where: str, value: float, target: float, says: str) -> Check:
    return judged(f"Lining: {name}", GROUP, where, value, target, SEAM, says=says)


def _legs(p: Piece) -> Iterable[Check]:
    for d in p.darts:
        a, b = (float(np.hypot(*(end - d.apex))) for end in p.mouth(d.name))
        name = f"{p.title}: {d.name}: legs"
        yield judged(name, GROUP, p.name, a, b, DART_LEGS, says="the two legs agree")


def _upper(pieces: Pieces) -> tuple[Piece, Piece]:
    """Shell and lining of the piece at the back neck."""
    top = "yoke" if "yoke" in pieces else "back"
    return pieces[top], pieces[f"lining_{top}"]


def _seams(pieces: Pieces) -> list[Check]:
    front, back, facing = pieces["front"], pieces["back"], pieces["front_facing"]
    lf, lb = pieces["lining_front"], pieces["lining_back"]
    upper, lu = _upper(pieces)
    sleeve, ls = pieces["sleeve"], pieces["lining_sleeve"]
    apart = "front less back, as in the shell"
    found = [
        _seam(
            f"side seam, {at.replace('_', ' ')} to underarm",
            "lining_front",
            _above(lf.edge("side"), at) - _above(lb.edge("side"), at),
            0.0 if at == "hem_side" else _stretch(front, at) - _stretch(back, at),
            apart,
        )
        for at in ("hem_side", "hip", "waist")
        if at == "hem_side" or (at in lf.edge("side").stations and at in lb.edge("side").stations)
    ]
    found += [
        _seam(
            f"side seam against the {shell.name}'s",
            lining.name,
            lining.edge("side").length,
            shell.edge("side").length - HEM_ABOVE + UNDERARM_UP,
            "shorter at the hem, higher at the underarm",
        )
        for shell, lining in ((front, lf), (back, lb))
    ]
    found.append(
        _seam(
            "to the facing",
            "lining_front",
            lf.edge("inner").length,
            facing.edge("inner").length - HEM_ABOVE,
            "the facing's inner edge down to the lining's fold",
        )
    )
    found.append(
        _seam(
            "shoulder",
            "lining_front",
            lf.edge("shoulder").length + facing.edge("shoulder").length,
            front.edge("shoulder").length + SHOULDER_EASE,
            "with the facing, against the shell's and the pleat at the tip",
        )
    )
    found.append(
        _seam(
            "shoulder, front to back",
            lu.name,
            lf.edge("shoulder").length
            + facing.edge("shoulder").length
            - lu.edge("shoulder").length,
            front.edge("shoulder").length - upper.edge("shoulder").length,
            apart,
        )
    )
    found.append(
        _seam(
            "neck",
            lu.name,
            lu.edge("neck").length + facing.edge("neck").length,
            front.edge("neck").length + upper.edge("neck").length,
            "with the facing, against the shell's",
        )
    )
    if "lining_yoke" in pieces:
        found.append(
            _seam(
                "yoke seam",
                "lining_yoke",
                lb.edge("yoke").length - lu.edge("yoke").length,
                back.edge("yoke").length - upper.edge("yoke").length,
                "back less yoke, as in the shell",
            )
        )
    found.append(
        _seam(
            "sleeve seam",
            "lining_sleeve",
            ls.edge("under_front").length - ls.edge("under_back").length,
            sleeve.edge("under_front").length - sleeve.edge("under_back").length,
            apart,
        )
    )
    found.append(
        _seam(
            "sleeve seam against the sleeve's",
            "lining_sleeve",
            ls.edge("under_front").length,
            sleeve.edge("under_front").length - SLEEVE_HEM_ABOVE + SLEEVE_UP,
            "shorter at the hem, higher at the underarm",
        )
    )
    return found


def _above(e: Edge, at: str) -> float:
    return e.length - e.distance(at)


def _stretch(p: Piece, at: str) -> float:
    return _above(p.edge("side"), at)


def _caps(pieces: Pieces) -> list[Check]:
    found = []
    for half, shells in (("front", ("front",)), ("back", ("back", "yoke"))):
        there = [name for name in shells if name in pieces]
        eases = []
        for before in ("", "lining_"):
            cap = pieces[f"{before}sleeve"].edge("cap")
            top = cap.distance("shoulder")
            sewn = top if half == "front" else cap.length - top
            hole = sum(pieces[before + name].edge("armhole").length for name in there)
            eases.append(sewn - hole)
        shell, lining = eases
        found.append(
            judged(
                f"Lining: ease of the cap, {half}",
                GROUP,
                "lining_sleeve",
                lining,
                shell + CAP_MORE,
                CAP_OFF,
                says=f"the shell's own is {shell:.1f}",
            )
        )
    return found


def across(piece: Piece, y: float) -> float:
    """Width of the cloth inside a piece's net line at the height ``y``, cm, darts not counted."""
    polygon = shapely.Polygon(net_polyline(piece)).buffer(0.0)
    x0, _, x1, _ = polygon.bounds
    level = shapely.LineString([(x0 - 1.0, y), (x1 + 1.0, y)])
    return float(polygon.intersection(level).length)


def _widths(pieces: Pieces) -> list[Check]:
    front, back, facing = pieces["front"], pieces["back"], pieces["front_facing"]
    lf, lb = pieces["lining_front"], pieces["lining_back"]
    found = []
    for at in ("waist", "hip"):
        if at in lf.edge("side").stations:
            y = float(front.point(f"side:{at}")[1])
            found.append(
                judged(
                    f"Lining: front at the {at}",
                    GROUP,
                    lf.name,
                    across(lf, y) + across(facing, y),
                    across(front, y) + SIDE_EASE,
                    WIDTH,
                    says="with the facing, against the shell's and the ease at the side",
                )
            )
        if at in lb.edge("side").stations:
            y = float(back.point(f"side:{at}")[1])
            found.append(
                judged(
                    f"Lining: back at the {at}",
                    GROUP,
                    lb.name,
                    across(lb, y),
                    across(back, y) + SIDE_EASE + PLEAT,
                    WIDTH,
                    says="against the shell's, the ease at the side and the pleat",
                )
            )
    sleeve, ls = pieces["sleeve"], pieces["lining_sleeve"]
    elbow = [float(sleeve.point(f"{e}:elbow")[1]) for e in ("under_front", "under_back")]
    y = 0.5 * (elbow[0] + elbow[1])
    found.append(
        judged(
            "Lining: sleeve at the elbow",
            GROUP,
            ls.name,
            across(ls, y),
            across(sleeve, y) + 2.0 * SEAM_EASE,
            WIDTH,
            says="against the sleeve's and the ease at both edges",
        )
    )
    return found


def _hems(pieces: Pieces) -> list[Check]:
    """The lining's fold hangs above the shell's hem, at the ends of both hems."""
    found = []
    for name, point, above in (
        ("front", "hem:hem_side", HEM_ABOVE),
        ("back", "hem:hem_side", HEM_ABOVE),
        ("back", "hem:hem_centre", HEM_ABOVE),
        ("sleeve", "hem:hem_front", SLEEVE_HEM_ABOVE),
        ("sleeve", "hem:hem_back", SLEEVE_HEM_ABOVE),
    ):
        lining = pieces[f"lining_{name}"]
        rise = float(lining.point(point)[1] - pieces[name].point(point)[1])
        at = point.partition(":")[2].replace("_", " ")
        found.append(
            judged(
                f"Lining: {name}, {at}, above the finished hem",
                GROUP,
                lining.name,
                rise,
                above,
                HEM_OFF,
                says="the fold of the lining must not show",
            )
        )
    return found


def _trousers(front: Piece, lining: Piece) -> list[Check]:
    found = [
        _seam(
            f"front, {name}",
            lining.name,
            lining.edge(name).length,
            front.edge(name).length,
            "sewn in with the front",
        )
        for name in ("centre", "waist")
    ]
    left = {}
    for name in ("inseam", "side"):
        shell, short = front.edge(name), lining.edge(name)
        end = shell.end if name == "inseam" else shell.start
        left[name] = shell.length - short.length
        for at in short.stations:
            found.append(
                _seam(
                    f"front, {name} at the {at}",
                    lining.name,
                    abs(short.distance(at) - short.distance(_sewn_end(short, name))),
                    abs(shell.distance(at) - shell.distance(_sewn_end(shell, name))),
                    "the marks meet",
                )
            )
        found.append(
            Check(
                f"Lining: front, {name}, above the hem",
                GROUP,
                lining.name,
                left[name],
                ABOVE_HEM,
                0.0,
                "good" if left[name] >= ABOVE_HEM - SEAM else "wrong",
                says=f"the free edge stays at least {ABOVE_HEM:g} above {end.replace('_', ' ')}",
                bound="least",
            )
        )
    outside = shapely.Polygon(net_polyline(lining)).difference(
        shapely.Polygon(net_polyline(front)).buffer(0.05)
    )
    found.append(
        judged(
            "Lining: front, beyond the shell",
            GROUP,
            lining.name,
            float(outside.area),
            0.0,
            0.5,
            unit="cm2",
            says="the lining's net line is the front's own",
        )
    )
    return found


def _sewn_end(e: Edge, name: str) -> str:
    """The end of inseam or side that lining and shell share."""
    return e.start if name == "inseam" else e.end
