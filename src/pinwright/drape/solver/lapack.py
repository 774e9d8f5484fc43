"""LAPACK and BLAS out of compiled code, which lets go of Python meanwhile: two threads then truly
work at once. The routines are those that scipy carries (``scipy.linalg.cython_lapack``)."""

from __future__ import annotations

from typing import Any

import numpy as np
from llvmlite import ir
from numba.core import types
from numba.extending import get_cython_function_address, intrinsic

from pinwright.drape.data import Whole


def _lie(letter: str) -> Whole:
    found = [
        get_cython_function_address(f"scipy.linalg.cython_{where}", letter + name)
        for where, name in (("lapack", "potrf"), ("blas", "trsm"), ("blas", "syrk"))
    ]
    return np.array(found, np.int64)


ROUTINES: Whole = _lie("d")
"""Where dpotrf, dtrsm and dsyrk lie."""

SINGLE_ROUTINES: Whole = _lie("s")
"""Where spotrf, strsm and ssyrk lie."""


@intrinsic
def _called(context: Any, address: Any, pointers: Any) -> Any:
    """Calls the routine at an address (int64) with pointers (a tuple of int64)."""

    def generated(context: Any, builder: Any, _signature: Any, arguments: Any) -> Any:
        at, packed = arguments
        byte = ir.IntType(8).as_pointer()
        count = len(packed.type.elements)
        given = [builder.inttoptr(builder.extract_value(packed, k), byte) for k in range(count)]
        kind = ir.FunctionType(ir.VoidType(), [byte] * len(given)).as_pointer()
        builder.call(builder.inttoptr(at, kind), given)
        return context.get_dummy_value()

    return types.void(address, pointers), generated


called: Any = _called
"""Calls the routine at an address (int64) with pointers (a tuple of int64)."""
