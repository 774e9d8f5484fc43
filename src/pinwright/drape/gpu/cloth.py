"""What the kernels know of variants: triangles, cloth, bodies, and what acts."""

from __future__ import annotations

from pinwright.drape.gpu.kinds import (
    Bent2,
    Blocks2,
    Long,
    Numbers,
    Numbers2,
    Points,
    Points2,
    Quads2,
    Slopes2,
    Triples,
    Whole,
    Whole2,
    wp,
)

wp.set_module_options({"enable_backward": False})


@wp.struct
class Shell:
    """Which vertices make triangles and pairs: as Stencils, the same for all variants.

    near_ends: (n + 1,), near, near_pair: the vertices that meet each vertex, itself included, and
    the number of the pair.
    """

    triangles: Triples
    ends: Whole
    triangle: Whole
    corner_a: Whole
    corner_b: Whole
    around: Whole
    around_triangle: Whole
    around_corner: Whole
    near_ends: Whole
    near: Whole
    near_pair: Whole


@wp.struct
class Cloth:
    """What may differ from variant to variant: as Stencils and Setting."""

    slopes: Slopes2
    area: Numbers2
    stiff: Quads2
    bend: Numbers2
    mass: Numbers2
    load: Numbers2
    gravity: Points
    half: Numbers
    friction: Numbers
    hard: Numbers
    hold: Numbers
    pinned: Whole2
    kept: Numbers2
    kept_at: Numbers2
    kept_axis: Whole


@wp.struct
class Bodies:
    """Fields one after another: which of them each variant lies on, -1 for none."""

    which: Whole
    origin: Points
    step: Numbers
    shape: Triples
    start: Long
    knots: Numbers


@wp.struct
class Acting:
    """What acts where the cloth is: see State and Work.

    mixed: the stress that the last step foresaw; pull: what of it the stiffness takes.
    """

    bent: Bent2
    stress: Points2
    mixed: Points2
    pull: Points2
    membrane: Numbers2
    force: Points2
    blocks: Blocks2
    touch: Numbers2
    distance: Numbers2
    direction: Points2
    energy: Numbers2


@wp.struct
class Rules:
    """How each variant steps: see settled and what of it comes to rest by itself.

    enough: the residual that is rest. longest: the longest step, s; faster: how many times longer
    the next may be. rounds: so often a step is solved. near: under this residual what pushes is
    taken as it is.
    """

    enough: Numbers
    longest: Numbers
    faster: Numbers
    rounds: Whole
    near: Numbers
