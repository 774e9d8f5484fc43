"""Whether what hangs garments is installed: the extra ``pinwright[drape]``."""

from __future__ import annotations

from importlib.util import find_spec
from typing import TYPE_CHECKING, Literal

from pinwright.errors import DrapeError

if TYPE_CHECKING:
    from pinwright.drape.draping import Settle

On = Literal["quickest", "processor", "card"]
"""What hangs garments: a graphics card where it is quicker than the processor, or which of both."""

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


def settle_on(on: On) -> Settle | None:
    """What brings cloth to rest; None for the processor.

    Raises:
        DrapeError: a card is asked for and none answers.
    """
    if on == "processor":
        return None
    from pinwright.drape.gpu.device import available, fast

    name = available() if on == "card" else fast()
    if name is None and on == "card":
        raise DrapeError(
            "--on is 'card', but no graphics card answers: it needs one that runs CUDA, its driver "
            "and pip install 'pinwright[drape-gpu]'; the processor does the same (--on processor)."
        )
    if name is None:
        return None
    from pinwright.drape.gpu.settling import OnCard

    return OnCard(name)
