"""Whether a graphics card answers."""

from __future__ import annotations

FAST = (60, 70, 80, 90, 100)
"""Kinds of cards (compute capability, ten times) whose units for double precision are half or so as
many as for single (CUDA C++ Programming Guide, table of arithmetic throughput; from memory). Others
have a thirty-second or sixty-fourth, and a processor is as quick."""


def available() -> str | None:
    """The name of the CUDA device that would be used; None where the processor must do it.

    None as well where the library of the kernels (the extra ``drape-gpu``) is not installed.
    """
    try:
        from pinwright.drape.gpu.kinds import wp
    except ImportError:
        return None
    wp.config.quiet = True
    if not wp.is_cuda_available():
        return None
    return f"{wp.get_device('cuda:0').name}"


def fast() -> str | None:
    """The name of the device where it is quicker than a processor at double precision."""
    name = available()
    if name is None:
        return None
    from pinwright.drape.gpu.kinds import wp

    return name if wp.get_device("cuda:0").arch in FAST else None
