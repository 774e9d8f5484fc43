"""Whether what hangs garments is installed: the extra ``pinwright[drape]``."""

from __future__ import annotations

from importlib.util import find_spec

from pinwright.errors import DrapeError

NEEDED = ("numba", "threadpoolctl")
"""Modules that the core does without."""

LACKING = "Hanging garments needs more than the core: pip install 'pinwright[drape]' brings it."


def drape_there() -> bool:
    """Whether garments can be hung on this machine."""
    return all(find_spec(name) is not None for name in NEEDED)


def asked_for_drape() -> None:
    """Go on where garments can be hung.

    Raises:
        DrapeError: how to install what is lacking.
    """
    if not drape_there():
        raise DrapeError(LACKING)
