"""Whether a graphics card answers."""

from __future__ import annotations


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
