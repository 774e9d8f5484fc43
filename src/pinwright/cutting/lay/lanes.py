"""Sixteen numbers at once, for compiled code: what the search for a place does most of all.

Each is one operation on vectors of LLVM's, so it is made for whatever the machine has (left to
itself, the compiler does short rows one number after another). Nothing checks that what is reached
lies within an array. Words are little-endian, as on every machine that numba compiles for.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from llvmlite import ir
from numba import types
from numba.core import cgutils
from numba.extending import intrinsic
from numpy.typing import NDArray

LANES, WORD = 16, 8
"""Numbers at once; bytes in a word."""

LINE = 64
"""Bytes at a multiple of which :func:`aligned` begins."""

FAST = {"nsz", "arcp", "contract", "afn", "reassoc"}
"""What compiled code may do to sums; infinite is kept for what is out of question."""

_FLOAT, _BYTE, _WHOLE = ir.FloatType(), ir.IntType(8), ir.IntType(64)


def aligned(many: int, dtype: type[np.generic]) -> NDArray[Any]:
    """Zeros (many,) that begin at a multiple of ``LINE`` bytes."""
    size = np.dtype(dtype).itemsize
    whole = np.zeros(many * size + LINE, np.uint8)
    begin = -whole.ctypes.data % LINE
    return whole[begin : begin + many * size].view(dtype)


def _at(context: Any, builder: Any, kind: Any, array: Any, i: Any, of: Any, many: int) -> Any:
    """A pointer to so many numbers of an array, the first of which is number i."""
    first = builder.gep(context.make_array(kind)(context, builder, array).data, [i])
    return builder.bitcast(first, ir.VectorType(of, many).as_pointer())


def _all(builder: Any, value: Any, many: int) -> Any:
    """One number in every lane."""
    kind, index = ir.VectorType(_FLOAT, many), ir.IntType(32)
    one = builder.insert_element(ir.Constant(kind, ir.Undefined), value, index(0))
    lanes = ir.Constant(ir.VectorType(index, many), [0] * many)
    return builder.shuffle_vector(one, ir.Constant(kind, ir.Undefined), lanes)


def _added(builder: Any, into: Any, octets: Any, times: Any, many: int, align: int) -> None:
    more = builder.fmul(
        builder.uitofp(octets, ir.VectorType(_FLOAT, many)),
        _all(builder, times, many),
        ("contract",),
    )
    whole = builder.fadd(builder.load(into, align=align), more, ("contract",))
    builder.store(whole, into, align=align)


@intrinsic
def _add_bytes(typing: Any, sums: Any, i: Any, octets: Any, j: Any, times: Any) -> Any:
    """sums[i : i + LANES] += times * octets[j : j + LANES]; i is a multiple of LANES."""

    def made(context: Any, builder: Any, signature: Any, args: Any) -> Any:
        into = _at(context, builder, signature.args[0], args[0], args[1], _FLOAT, LANES)
        of = _at(context, builder, signature.args[2], args[2], args[3], _BYTE, LANES)
        _added(builder, into, builder.load(of, align=1), args[4], LANES, LINE)
        return context.get_dummy_value()

    return types.void(sums, types.intp, octets, types.intp, types.float32), made


@intrinsic
def _add_some_bytes(
    typing: Any, sums: Any, i: Any, octets: Any, j: Any, times: Any, masks: Any, k: Any
) -> Any:
    """The same of those that masks[k : k + LANES] lets through."""

    def made(context: Any, builder: Any, signature: Any, args: Any) -> Any:
        into = _at(context, builder, signature.args[0], args[0], args[1], _FLOAT, LANES)
        of = _at(context, builder, signature.args[2], args[2], args[3], _BYTE, LANES)
        mask = _at(context, builder, signature.args[5], args[5], args[6], _BYTE, LANES)
        some = builder.and_(builder.load(of, align=1), builder.load(mask, align=1))
        _added(builder, into, some, args[4], LANES, LINE)
        return context.get_dummy_value()

    arguments = (sums, types.intp, octets, types.intp, types.float32, masks, types.intp)
    return types.void(*arguments), made


@intrinsic
def _add_word(typing: Any, sums: Any, i: Any, word: Any, times: Any) -> Any:
    """sums[i : i + WORD] += times * the bytes of a word."""

    def made(context: Any, builder: Any, signature: Any, args: Any) -> Any:
        into = _at(context, builder, signature.args[0], args[0], args[1], _FLOAT, WORD)
        octets = builder.bitcast(args[2], ir.VectorType(_BYTE, WORD))
        _added(builder, into, octets, args[3], WORD, 4 * WORD)
        return context.get_dummy_value()

    return types.void(sums, types.intp, types.uint64, types.float32), made


@intrinsic
def _which_less(typing: Any, sums: Any, i: Any, than: Any) -> Any:
    """Bit b is 1 where sums[i + b] is less than a number, b below LANES; i is a multiple of it."""

    def made(context: Any, builder: Any, signature: Any, args: Any) -> Any:
        at = _at(context, builder, signature.args[0], args[0], args[1], _FLOAT, LANES)
        less = builder.fcmp_ordered(
            "<", builder.load(at, align=LINE), _all(builder, args[2], LANES)
        )
        return builder.zext(builder.bitcast(less, ir.IntType(LANES)), _WHOLE)

    return types.int64(sums, types.intp, types.float32), made


@intrinsic
def _any_less(typing: Any, sums: Any, i: Any, than: Any) -> Any:
    """Whether any of sums[i : i + 4 LANES] is less than a number; i is a multiple of LANES."""

    def made(context: Any, builder: Any, signature: Any, args: Any) -> Any:
        some = [
            builder.load(
                _at(context, builder, signature.args[0], args[0], at, _FLOAT, LANES), align=LINE
            )
            for at in (builder.add(args[1], _WHOLE(k * LANES)) for k in range(4))
        ]
        while len(some) > 1:
            a, b = some.pop(), some.pop()
            some.insert(0, builder.select(builder.fcmp_ordered("<", a, b, ("nnan", "nsz")), a, b))
        less = builder.fcmp_ordered("<", some[0], _all(builder, args[2], LANES))
        bits = ir.IntType(LANES)
        return builder.icmp_unsigned("!=", builder.bitcast(less, bits), bits(0))

    return types.boolean(sums, types.intp, types.float32), made


@intrinsic
def _least_of(typing: Any, sums: Any, i: Any) -> Any:
    """The least of sums[i : i + LANES]; i is a multiple of LANES."""

    def made(context: Any, builder: Any, signature: Any, args: Any) -> Any:
        lanes = ir.VectorType(_FLOAT, LANES)
        at = _at(context, builder, signature.args[0], args[0], args[1], _FLOAT, LANES)
        insert: Any = cgutils.get_or_insert_function
        least = insert(
            builder.module, ir.FunctionType(_FLOAT, [lanes]), f"llvm.vector.reduce.fmin.v{LANES}f32"
        )
        return builder.call(least, [builder.load(at, align=LINE)], fastmath=("nnan", "nsz"))

    return types.float32(sums, types.intp), made


@intrinsic
def _first_bit(typing: Any, bits: Any) -> Any:
    """The number of the lowest bit that is 1; there is one."""

    def made(context: Any, builder: Any, signature: Any, args: Any) -> Any:
        return builder.cttz(args[0], ir.IntType(1)(1))

    return types.int64(types.int64), made


# what compiled code calls: numba's own types know of no arguments but those of making it
add_bytes: Any = _add_bytes
add_some_bytes: Any = _add_some_bytes
add_word: Any = _add_word
which_less: Any = _which_less
any_less: Any = _any_less
least_of: Any = _least_of
first_bit: Any = _first_bit
