"""Whether a graphics card answers."""

from __future__ import annotations

from ctypes import CDLL

FAST = (60, 70, 80, 90, 100)
"""Kinds of cards (compute capability, ten times) whose units for double precision are half or so as
many as for single (CUDA C++ Programming Guide, table of arithmetic throughput; from memory). Others
have a thirty-second or sixty-fourth, and a processor is as quick."""


def available() -> str | None:
    """The name of the CUDA device that would be used; None where the processor must do it.

    None as well where the library of the kernels (the extra ``drape-gpu``) is not installed.
    """
    if not _driver_there():
        return None
    try:
        from pinwright.drape.gpu.kinds import wp
    except ImportError:
        return None
    wp.config.quiet = True
    if not wp.is_cuda_available():
        return None
    return f"{wp.get_device('cuda:0').name}"


def _driver_there() -> bool:
    """Whether the driver of a card can be loaded: without it warp prints a warning, unasked."""
    for name in ("libcuda.so.1", "libcuda.so", "nvcuda.dll"):
        try:
            CDLL(name)
        except OSError:
            continue
        return True
    return False


def fast() -> str | None:
    """The name of the device where it is quicker than a processor at double precision."""
    name = available()
    if name is None:
        return None
    from pinwright.drape.gpu.kinds import wp

    return name if wp.get_device("cuda:0").arch in FAST else None
