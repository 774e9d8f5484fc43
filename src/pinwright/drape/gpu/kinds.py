"""What the kernels take: numbers, and arrays on the device.

warp's own types cannot be read by a checker where kernels are concerned, so for one it is all Any.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import warp

wp: Any = warp

if TYPE_CHECKING:
    Real = Any
    Int = Any
    Big = Any
    Vec3 = Any
    Vec4 = Any
    Numbers = Any
    Numbers2 = Any
    Whole = Any
    Whole2 = Any
    Long = Any
    Long2 = Any
    Points = Any
    Points2 = Any
    Twos = Any
    Twos2 = Any
    Flats2 = Any
    Triples = Any
    Triples2 = Any
    Quads2 = Any
    Blocks2 = Any
    Slopes2 = Any
    Bent2 = Any
else:
    Real = wp.float64
    Int = wp.int32
    Big = wp.int64
    Vec3 = wp.vec3d
    Vec4 = wp.vec4d
    Numbers = wp.array(dtype=wp.float64)
    Numbers2 = wp.array2d(dtype=wp.float64)
    Whole = wp.array(dtype=wp.int32)
    Whole2 = wp.array2d(dtype=wp.int32)
    Long = wp.array(dtype=wp.int64)
    Long2 = wp.array2d(dtype=wp.int64)
    Points = wp.array(dtype=wp.vec3d)
    Points2 = wp.array2d(dtype=wp.vec3d)
    Twos = wp.array(dtype=wp.vec2i)
    Twos2 = wp.array2d(dtype=wp.vec2i)
    Flats2 = wp.array2d(dtype=wp.vec2d)
    Triples = wp.array(dtype=wp.vec3i)
    Triples2 = wp.array2d(dtype=wp.vec3i)
    Quads2 = wp.array2d(dtype=wp.vec4d)
    Blocks2 = wp.array2d(dtype=wp.mat33d)
    Slopes2 = wp.array2d(dtype=wp.types.matrix(shape=(3, 2), dtype=wp.float64))
    Bent2 = wp.array2d(dtype=wp.types.matrix(shape=(2, 3), dtype=wp.float64))
