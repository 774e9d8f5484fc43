"""What of a shell never changes while it hangs: shapes of triangles, hinges, which vertices meet.

Bending is quadratic, as of surfaces that hardly stretch (Bergou, Wardetzky, Harmon, Zorin &
Grinspun 2006, "A quadratic bending model for inextensible surfaces", SGP): each coordinate is
taken as a function of the flat cloth, so the bending part of the stiffness is one constant number
for each pair of vertices. The folds at the three sides of a triangle, which are sums over its own
corners and the three beyond its sides, tell its second derivatives; these are exact for any
quadratic on any mesh (a rotation-free plate triangle: Phaal & Calladine 1992, Int. J. Num. Meth.
Eng. 35; Onate & Zarate 2000, ibid. 47). What a free side leaves open takes the least energy, which
is the free edge's own condition. So a strip bends as the elastica whichever way its mesh lies
(tests/drape/test_physics_bending.py), where one weight for each fold, which has no say in the
direction, was up to half off.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array, csr_array

from pinwright.drape.data import Array, Whole
from pinwright.drape.solver.hinging import corners_of, folds, hinged, meeting, weighed


@dataclass(frozen=True, slots=True, eq=False)
class Stencils:
    """The fixed parts of a shell of n vertices and m triangles.

    triangles: (m, 3). area: (m,) cm2. slopes: (m, 3, 2), 1/cm: how much each corner adds to the
    deformation across and along the grain. first, second: (p,) the vertices of each pair that
    meets, second <= first, the first n pairs being each vertex with itself. ends: (p + 1,) and
    triangle, corner_a, corner_b: which triangles each pair lies in, and at which of their corners.
    around: (n + 1,), around_triangle, around_corner: the triangles about each vertex. load: (n,)
    cm2 of cloth that each vertex carries. hinge: (h, 4) vertices of each hinge, its edge first;
    fold: (h, 4) their combination: how the slope across the edge changes there, times its length.
    sides: (m, 3) the hinges of each triangle, -1 at a free side. turn: (m, 3, 3) cm2: the fold at
    each side for second derivatives 1 across, across with along, and along the grain.
    """

    n: int
    triangles: Whole
    area: Array
    slopes: Array
    first: Whole
    second: Whole
    ends: Whole
    triangle: Whole
    corner_a: Whole
    corner_b: Whole
    around: Whole
    around_triangle: Whole
    around_corner: Whole
    load: Array
    hinge: Whole
    fold: Array
    sides: Whole
    turn: Array


def shapes(rest: Array) -> tuple[Array, Array]:
    """Areas (m,) cm2 and slopes (m, 3, 2) of triangles with flat corners (m, 3, 2)."""
    u = rest[:, 1] - rest[:, 0]
    v = rest[:, 2] - rest[:, 0]
    twice = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    slopes = np.empty((len(rest), 3, 2))
    slopes[:, 1, 0] = v[:, 1] / twice
    slopes[:, 1, 1] = -v[:, 0] / twice
    slopes[:, 2, 0] = -u[:, 1] / twice
    slopes[:, 2, 1] = u[:, 0] / twice
    slopes[:, 0] = -slopes[:, 1] - slopes[:, 2]
    return 0.5 * twice, slopes


def hinges(triangles: Whole, rest: Array) -> tuple[Whole, Array, Whole, Array]:
    """Hinges of a mesh: vertices (h, 4), folds (h, 4), sides (m, 3) and turn (m, 3, 3)."""
    m = len(triangles)
    one, two = hinged(triangles, int(triangles.max(initial=-1)) + 1)
    corners, fold, sides, turn = folds(triangles, rest, one, two)
    return corners, fold, sides.reshape(m, 3), turn.reshape(m, 3, 3)


def stencils(n: int, triangles: Whole, rest: Array) -> Stencils:
    """The fixed parts of a mesh of n vertices, triangles (m, 3) and flat corners (m, 3, 2) cm."""
    triangles, rest = np.ascontiguousarray(triangles), np.ascontiguousarray(rest)
    area, slopes = shapes(rest)
    hinge, fold, sides, turn = hinges(triangles, rest)
    first, second, begin = meeting(triangles, hinge, sides, n)
    ends, triangle, corner_a, corner_b = corners_of(triangles, second, begin)
    flat = triangles.ravel()
    about = np.argsort(flat, kind="stable")
    return Stencils(
        n=n,
        triangles=triangles,
        area=area,
        slopes=slopes,
        first=first,
        second=second,
        ends=ends,
        triangle=triangle,
        corner_a=corner_a,
        corner_b=corner_b,
        around=np.concatenate([[0], np.cumsum(np.bincount(flat, minlength=n))]),
        around_triangle=about // 3,
        around_corner=about % 3,
        load=_carried(triangles, area, n),
        hinge=hinge,
        fold=fold,
        sides=sides,
        turn=turn,
    )


def rigidity(
    bends: Array | None, along: float, across: float
) -> tuple[float | Array, float | Array]:
    """Bending rigidity along and across of triangles so many times (m,) as stiff as the cloth.

    None: as the cloth.
    """
    return (along, across) if bends is None else (bends * along, bends * across)


def carried_by(s: Stencils, carries: Array | None) -> Array:
    """The cloth (n,), cm2, that each vertex carries, where triangles are so many times (m,) as
    heavy as the cloth; None: as the cloth."""
    if carries is None:
        return s.load
    return _carried(s.triangles, carries * s.area, s.n)


def _carried(triangles: Whole, area: Array, n: int) -> Array:
    """A third of each triangle (m,) at each of its corners: (n,)."""
    each = np.repeat(area / 3.0, 3)
    return np.asarray(np.bincount(triangles.ravel(), each, minlength=n), np.float64)


def bending(s: Stencils, along: float | Array, across: float | Array) -> tuple[csr_array, Array]:
    """The bending stiffness, dyn/cm: as a symmetric matrix (n, n), and for each pair (p,).

    along, across: bending rigidity with the bend along and across the grain, dyn cm, of all
    triangles or of each (m,). A bend
    between them meets (sqrt(along) cos^2 + sqrt(across) sin^2)^2, and there is no Poisson's effect.
    """
    along, across = np.asarray(along), np.asarray(across)
    both = np.sqrt(along * across)
    # the energy of a cm2 is half of across xx^2 + 2 both xy^2 + along yy^2
    supple = np.stack([1.0 / across, 0.5 / both, 1.0 / along], axis=-1)
    supple = np.broadcast_to(supple, (len(s.turn), 3))
    given = np.einsum("mic,mc,mjc->mij", s.turn, supple, s.turn)
    free = s.sides < 0
    # a free side has no say; where corners lie so that folds do not tell all, they are softened
    trace = np.einsum("mii->m", given)
    given[:, [0, 1, 2], [0, 1, 2]] += np.where(free, 1.0, 0.0) + 1e-6 * trace[:, None]
    weight = np.linalg.inv(given) * s.area[:, None, None]
    begin = np.searchsorted(s.first[s.n :], np.arange(s.n + 1)) + s.n
    values = weighed(s.triangles, s.hinge, s.fold, s.sides, weight, s.second, begin)
    some = np.flatnonzero(values)
    high, low, there = s.first[some], s.second[some], values[some]
    off = high != low
    rows, columns = np.concatenate([high, low[off]]), np.concatenate([low, high[off]])
    full = coo_array((np.concatenate([there, there[off]]), (rows, columns)), shape=(s.n, s.n))
    return csr_array(full), values
