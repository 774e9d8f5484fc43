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
    tails = triangles.ravel()
    heads = np.roll(triangles, -1, axis=1).ravel()
    low, high = np.minimum(tails, heads), np.maximum(tails, heads)
    order = np.lexsort((high, low))
    same = (low[order][1:] == low[order][:-1]) & (high[order][1:] == high[order][:-1])
    one, two = order[:-1][same], order[1:][same]
    start, end = low[one], high[one]

    def side(half: Whole) -> tuple[Whole, Array, Array, Array, Array]:
        # of the triangle of a half edge: the corner opposite, how far off the edge it lies and how
        # far along it (as a part of the edge), the flat start and the edge
        t, k = np.divmod(half, 3)
        i, j, o = k, (k + 1) % 3, (k + 2) % 3
        back = triangles[t, i] != start
        i, j = np.where(back, j, i), np.where(back, i, j)
        a, along, off = rest[t, i], rest[t, j] - rest[t, i], rest[t, o] - rest[t, i]
        square = np.einsum("ij,ij->i", along, along)
        far = np.abs(along[:, 0] * off[:, 1] - along[:, 1] * off[:, 0]) / square
        return triangles[t, o], far, np.einsum("ij,ij->i", along, off) / square, a, along

    o1, f1, p1, a1, d1 = side(one)
    o2, f2, p2, a2, d2 = side(two)
    fold = np.stack(
        [(1.0 - p1) / f1 + (1.0 - p2) / f2, p1 / f1 + p2 / f2, -1.0 / f1, -1.0 / f2], axis=1
    )
    sides = np.full(3 * m, -1, np.int64)
    turn = np.zeros((3 * m, 3))
    for half, far, part, beyond, aside, a, d in (
        (one, f1, p1, f2, p2, a1, d1),
        (two, f2, p2, f1, p1, a2, d2),
    ):
        # the four corners in this triangle's own flat, the other one unfolded into it
        inward = np.stack([-d[:, 1], d[:, 0]], axis=1)
        inward[triangles[half // 3, half % 3] != start] *= -1.0
        own = a + part[:, None] * d + far[:, None] * inward
        other = a + aside[:, None] * d - beyond[:, None] * inward
        corner = np.stack([a, a + d, own, other], axis=1)
        if half is two:
            corner = corner[:, [0, 1, 3, 2]]
        corner = corner - a[:, None]
        u, v = corner[..., 0], corner[..., 1]
        bowl = np.stack([0.5 * u * u, u * v, 0.5 * v * v], axis=2)
        turn[half] = np.einsum("hk,hkc->hc", fold, bowl)
        sides[half] = np.arange(len(one))
    corners = np.stack([start, end, o1, o2], axis=1)
    return corners, fold, sides.reshape(m, 3), turn.reshape(m, 3, 3)


def _folding(n: int, hinge: Whole, fold: Array) -> csr_array:
    rows = np.repeat(np.arange(len(hinge)), 4)
    return csr_array((fold.ravel(), (rows, hinge.ravel())), shape=(len(hinge), n))


def _beside(sides: Whole, weight: Array, count: int) -> csr_array:
    """(h, h) sums of weights (m, 3, 3) between the hinges of each triangle."""
    i, j = np.meshgrid(np.arange(3), np.arange(3), indexing="ij")
    rows, columns = sides[:, i].ravel(), sides[:, j].ravel()
    there = (rows >= 0) & (columns >= 0)
    found = coo_array((weight.ravel()[there], (rows[there], columns[there])), shape=(count, count))
    return csr_array(found)


def stencils(n: int, triangles: Whole, rest: Array) -> Stencils:
    """The fixed parts of a mesh of n vertices, triangles (m, 3) and flat corners (m, 3, 2) cm."""
    area, slopes = shapes(rest)
    hinge, fold, sides, turn = hinges(triangles, rest)
    folding = _folding(n, hinge, np.ones_like(fold))
    beside = _beside(sides, np.ones((len(triangles), 3, 3)), len(hinge))
    bent = coo_array(folding.T @ beside @ folding)
    met = np.concatenate(
        [
            np.stack([np.arange(n), np.arange(n)], axis=1),
            np.stack([triangles[:, [1, 2, 2]].ravel(), triangles[:, [0, 0, 1]].ravel()], axis=1),
            np.stack(bent.coords, axis=1).astype(np.int64),
        ]
    )
    met = np.sort(met, axis=1)[:, ::-1]
    keys = met[:, 0] * n + met[:, 1]
    known = np.unique(keys)
    own = known // n == known % n
    known = np.concatenate([known[own], known[~own]])
    place = _Places(known, n)
    # the pairs inside triangles, each with the corners it joins
    a = np.array([0, 1, 2, 1, 2, 2])
    b = np.array([0, 1, 2, 0, 0, 1])
    ta, tb = triangles[:, a], triangles[:, b]
    swap = tb > ta
    pair = place(np.where(swap, tb, ta).ravel(), np.where(swap, ta, tb).ravel())
    ca, cb = np.where(swap, b, a).ravel(), np.where(swap, a, b).ravel()
    order = np.argsort(pair, kind="stable")
    which = np.repeat(np.arange(len(triangles)), 6)
    flat = triangles.ravel()
    about = np.argsort(flat, kind="stable")
    return Stencils(
        n=n,
        triangles=triangles,
        area=area,
        slopes=slopes,
        first=known // n,
        second=known % n,
        ends=np.concatenate([[0], np.cumsum(np.bincount(pair, minlength=len(known)))]),
        triangle=which[order],
        corner_a=ca[order],
        corner_b=cb[order],
        around=np.concatenate([[0], np.cumsum(np.bincount(flat, minlength=n))]),
        around_triangle=about // 3,
        around_corner=about % 3,
        load=_carried(triangles, area, n),
        hinge=hinge,
        fold=fold,
        sides=sides,
        turn=turn,
    )


class _Places:
    """Finds the number of a pair."""

    def __init__(self, known: Whole, n: int) -> None:
        self.order = np.argsort(known, kind="stable")
        self.keys = known[self.order]
        self.n = n

    def __call__(self, first: Whole, second: Whole) -> Whole:
        found: Whole = self.order[np.searchsorted(self.keys, first * self.n + second)]
        return found


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
    folding = _folding(s.n, s.hinge, s.fold)
    matrix = csr_array(folding.T @ _beside(s.sides, weight, len(s.hinge)) @ folding)
    matrix.sum_duplicates()
    found = coo_array(matrix)
    rows, columns = found.coords
    place = _Places(s.first * s.n + s.second, s.n)
    low = rows >= columns
    pair = place(rows[low].astype(np.int64), columns[low].astype(np.int64))
    values = np.bincount(pair, found.data[low], minlength=len(s.first))
    return matrix, np.asarray(values, np.float64)
