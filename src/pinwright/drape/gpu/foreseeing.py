"""What a card will need next, made while it works, by processes of their own.

Triangles and plans take as long as the card's steps. In a thread they would hold up the launches,
for only one thread at a time runs Python. Each process makes one of the shells that follow: run as
``python -m pinwright.drape.gpu.foreseeing`` it reads requests from stdin, a garb, sides of
triangles (cm) and which of them is asked, then, when that is known, a coarse shell and where it
lies; it answers a :class:`Finer` and its :class:`Plans` to stdout. All are pickled, each after its
length in eight bytes. When stdin closes it ends: it never outlives the program that asked.
"""

from __future__ import annotations

import contextlib
import os
import pickle
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future
from functools import cache
from io import BytesIO
from types import MappingProxyType
from typing import IO, Any

from pinwright.drape.data import Array, Shell
from pinwright.drape.finer import Finer, bare
from pinwright.drape.garb import Garb
from pinwright.drape.gpu.plans import Plans
from pinwright.drape.refining import prolongation

LATE = 60.0
"""So long, s, a process waits to hear where the shell lies."""

Made = tuple[Finer, Plans]
Laid = tuple[Shell, Array]
Asked = tuple[Garb, Sequence[float], int]


def foreseen(garb: Garb, sides: Sequence[float], k: int, laid: Callable[[], Laid]) -> Made:
    """The shell number k of those with these sides, cm, and its plans.

    laid: the coarse shell before all of them, and where it lies about, x (n, 3) cm.
    """
    last = k == len(sides) - 1
    between = [garb.shell(sides[k - 1])] if k else []
    shell = garb.shell(sides[k])
    setting = bare(garb, shell, sides[k], last)
    coarse, x = laid()
    for finer in between:
        coarse, x = finer, prolongation(coarse, finer) @ x
    made = Finer(shell, prolongation(coarse, shell), setting, last)
    return made, Plans(setting.stencils, made.prolongation @ x, setting.apart > 0.0)


class Coming:
    """What was asked for and is being made."""

    def __init__(self, garb: Garb, sides: Sequence[float]) -> None:
        self.garb, self.sides = garb, sides
        self.where: Future[Laid] = Future()
        self.answers: list[Future[Made | None]] = [Future() for _ in sides]

    def laid(self, shell: Shell, x: Array) -> None:
        """Where the coarse shell before all of them lies, x (n, 3) cm."""
        self.where.set_result((shell, x))

    def __iter__(self) -> Iterator[Made]:
        for k, answer in enumerate(self.answers):
            # what a process could not make is made here, and says why it cannot be
            yield answer.result() or foreseen(self.garb, self.sides, k, self.where.result)

    def __del__(self) -> None:
        self.where.cancel()


class Helper:
    """A process that makes one shell after another; None where none could begin."""

    def __init__(self) -> None:
        self._one = threading.Lock()
        self.process: subprocess.Popen[bytes] | None = None
        self._begin()

    def _begin(self) -> None:
        with contextlib.suppress(OSError):
            self.process = subprocess.Popen(
                [sys.executable, "-m", "pinwright.drape.gpu.foreseeing"],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                env={**os.environ, "PYTHONPATH": os.pathsep.join(p for p in sys.path if p)},
            )

    def ask(self, asked: Asked, where: Future[Laid], answer: Future[Made | None]) -> None:
        """Has a shell made, in a thread that waits for it; None where that cannot be."""
        threading.Thread(target=self._ask, args=(asked, where, answer), daemon=True).start()

    def _ask(self, asked: Asked, where: Future[Laid], answer: Future[Made | None]) -> None:
        found = None
        # one request after another
        with self._one:
            try:
                if self.process is None or self.process.poll() is not None:
                    self._begin()
                assert self.process is not None
                assert self.process.stdin is not None
                assert self.process.stdout is not None
                _write(self.process.stdin, asked)
                _write(self.process.stdin, where.result(LATE))
                found = _read(self.process.stdout)
            except Exception:  # whatever it is, who asks can do without
                self.end()
        answer.set_result(found)

    def end(self) -> None:
        """Ends the process; the next request begins another."""
        process, self.process = self.process, None
        if process is not None:
            process.kill()
            process.wait()
            for pipe in (process.stdin, process.stdout):
                if pipe is not None:
                    with contextlib.suppress(OSError):
                        pipe.close()


@cache
def helpers(count: int) -> tuple[Helper, ...]:
    """So many processes, which stay as long as the program does."""
    return tuple(Helper() for _ in range(count))


def ahead(garb: Garb, sides: Sequence[float]) -> Coming:
    """Has shells with these sides, cm, made, side by side."""
    coming = Coming(garb, sides)
    for k, helper in enumerate(helpers(len(sides))):
        helper.ask((garb, sides, k), coming.where, coming.answers[k])
    return coming


def unchanging(found: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    """A mapping that cannot be changed; its own class has no name to be pickled by."""
    return MappingProxyType(found)


class _Pickler(pickle.Pickler):
    """Pickles mappings that cannot be changed as well: garments have them."""

    def reducer_override(self, obj: object) -> Any:
        if isinstance(obj, MappingProxyType):
            return unchanging, (dict(obj),)
        return NotImplemented


def _write(pipe: IO[bytes], what: object) -> None:
    into = BytesIO()
    _Pickler(into, protocol=5).dump(what)
    data = into.getbuffer()
    pipe.write(len(data).to_bytes(8, "little"))
    pipe.write(data)
    pipe.flush()


def _read(pipe: IO[bytes]) -> Any:
    """Raises EOFError where nothing more comes."""
    size = pipe.read(8)
    data = pipe.read(int.from_bytes(size, "little")) if len(size) == 8 else b""
    if not data:
        raise EOFError("the other end is closed")
    return pickle.loads(data)


def main() -> None:
    """Answers requests until stdin closes."""
    out = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    # what is printed by the way must not come between answers
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    with contextlib.suppress(EOFError, BrokenPipeError):
        while True:
            garb, sides, k = _read(sys.stdin.buffer)
            _write(out, foreseen(garb, sides, k, lambda: _read(sys.stdin.buffer)))


if __name__ == "__main__":
    # by its own name, which what it pickles is known by
    from pinwright.drape.gpu import foreseeing

    foreseeing.main()
