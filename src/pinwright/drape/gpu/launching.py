"""Launches for many variants: one after another, or recorded once as a graph of launches."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from pinwright.drape.gpu.kinds import wp

WIDTH = 256
"""Threads of a block on the card."""


def on_card() -> bool:
    """Whether launches go to a card, not to the processor."""
    return bool(wp.get_device().is_cuda)


def each(kernel: Any, many: int, inputs: list[Any], count: int = 0) -> None:
    """Launches a thread for each variant, or for each of count things of each variant."""
    wp.launch(kernel, dim=(many, count) if count else many, inputs=inputs)


def blocks(kernel: Any, many: int, tasks: int, inputs: list[Any], wide: int = WIDTH) -> None:
    """Launches blocks of threads: for each variant as many as tasks."""
    width = wide if on_card() else 1
    if tasks:
        wp.launch(kernel, dim=many * tasks * width, inputs=[*inputs, width], block_dim=wide)


def plain(what: Callable[[], None]) -> Callable[[], None]:
    """What is launched, one launch after another."""
    return what


def recorded(what: Callable[[], None]) -> Callable[[], None]:
    """What is launched, recorded once; each call then launches all of it."""
    with wp.ScopedCapture() as capture:
        what()
    return lambda: wp.capture_launch(capture.graph)
