"""What a card will need next, made while it works, by processes of their own.

Triangles and plans take as long as the card's steps. In a thread they would hold up the launches,
for only one thread at a time runs Python. Run as ``python -m pinwright.drape.gpu.foreseeing`` a
process reads from stdin what is to be done: a function, its arguments, and whether one more follows
that is not known yet, which the function then asks for; to stdout it answers what that gives. All
is pickled, each after its length in eight bytes. When stdin closes it ends: it never outlives the
program that asked.
"""

from __future__ import annotations

import contextlib
import os
import pickle
import queue
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import CancelledError, Future
from functools import cache, partial
from io import BytesIO
from types import MappingProxyType
from typing import IO, Any, TypeVar

from pinwright.drape.data import Array, Shell
from pinwright.drape.finer import Finer, bare
from pinwright.drape.garb import Garb
from pinwright.drape.gpu.plans import Plans
from pinwright.drape.refining import prolongation

LATE = 60.0
"""So long, s, a process waits for what was not known."""

ALONE = {
    f"{name}_NUM_THREADS": "1" for name in ("OMP", "OPENBLAS", "MKL", "BLIS", "VECLIB", "NUMBA")
}
"""A process keeps to one core: the others are the program's."""

T = TypeVar("T")
Made = tuple[Finer, Plans]
Laid = tuple[Shell, Array]
Task = tuple[Callable[..., Any], tuple[object, ...], "Future[Any] | None", "Future[Any]"]


class Helper:
    """A process that does one thing after another; what it cannot is done here."""

    def __init__(self) -> None:
        self.process: subprocess.Popen[bytes] | None = None
        self._begin()
        self._tasks: queue.SimpleQueue[Task] = queue.SimpleQueue()
        threading.Thread(target=self._go_on, daemon=True).start()

    def _begin(self) -> None:
        with contextlib.suppress(OSError):
            self.process = subprocess.Popen(
                # no module of the folder it is called from is meant
                [sys.executable, "-P", "-m", "pinwright.drape.gpu.foreseeing"],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                env={**os.environ, **ALONE, "PYTHONPATH": os.pathsep.join(filter(None, sys.path))},
            )

    def do(
        self, work: Callable[..., T], *args: object, later: Future[Any] | None = None
    ) -> Future[T]:
        """What a function of a module gives, after what was asked before.

        later: in its stead the function has, as its last argument, a function that gives its
        result. Where that is cancelled, so is what was asked.
        """
        found: Future[T] = Future()
        self._tasks.put((work, args, later, found))
        return found

    def _go_on(self) -> None:
        while True:
            work, args, later, found = self._tasks.get()
            with contextlib.suppress(Exception):
                found.set_result(self._answered(work, args, later))
                continue
            # whatever it was, it is done here, and says why it cannot be
            threading.Thread(target=_here, args=(work, args, later, found), daemon=True).start()

    def _answered(
        self, work: Callable[..., Any], args: tuple[object, ...], later: Future[Any] | None
    ) -> Any:
        asked = pickled((work, args, later is not None))
        if self.process is None or self.process.poll() is not None:
            self._begin()
        if self.process is None or self.process.stdin is None or self.process.stdout is None:
            raise BrokenPipeError("no process could begin")
        try:
            _write(self.process.stdin, asked)
            if later is not None:
                _write(self.process.stdin, pickled(later.result(LATE)))
            return _read(self.process.stdout)
        except Exception:
            # who knows where it stands
            self.end()
            raise

    def end(self) -> None:
        """Ends the process; what is asked next begins another."""
        process, self.process = self.process, None
        if process is not None:
            process.kill()
            process.wait()
            for pipe in (process.stdin, process.stdout):
                if pipe is not None:
                    with contextlib.suppress(OSError):
                        pipe.close()


def _here(
    work: Callable[..., Any],
    args: tuple[object, ...],
    later: Future[Any] | None,
    found: Future[Any],
) -> None:
    try:
        if later is not None and later.cancelled():
            raise CancelledError
        found.set_result(work(*args, *([] if later is None else [later.result])))
    except BaseException as e:
        found.set_exception(e)


@cache
def helper(k: int) -> Helper:
    """The process number k, which stays as long as the program does."""
    return Helper()


def foreseen(garb: Garb, sides: Sequence[float], k: int, laid: Callable[[], Laid]) -> Made:
    """The shell number k of those with these sides, cm, and its plans.

    laid: the shell before it, and where that lies about, x (n, 3) cm.
    """
    last = k == len(sides) - 1
    shell = garb.shell(sides[k])
    setting = bare(garb, shell, sides[k], last)
    before, x = laid()
    made = Finer(shell, prolongation(before, shell), setting, last)
    return made, Plans(setting.stencils, made.prolongation @ x, setting.apart > 0.0)


class Coming:
    """Shells with these sides, cm, that are made side by side from now on.

    knows: hears of the plans of each before it is given."""

    def __init__(self, garb: Garb, sides: Sequence[float], knows: Callable[[Plans], None]) -> None:
        self._knows = knows
        self._where: list[Future[Laid]] = [Future() for _ in sides]
        self._made = [
            helper(k).do(foreseen, garb, sides, k, later=self._where[k]) for k in range(len(sides))
        ]

    def laid(self, shell: Shell, x: Array) -> None:
        """Where the coarse shell before all of them lies, x (n, 3) cm."""
        self._where[0].set_result((shell, x))
        for k, where in enumerate(self._where[1:]):
            self._made[k].add_done_callback(partial(_goes_on, self._where[k], where))

    def __iter__(self) -> Iterator[Finer]:
        for coming in self._made:
            made, plans = coming.result()
            self._knows(plans)
            yield made

    def __del__(self) -> None:
        for where in self._where:
            where.cancel()


def _goes_on(before: Future[Laid], where: Future[Laid], made: Future[Made]) -> None:
    """Tells where a shell lies that was made from the one before."""
    if made.exception() is not None:
        where.cancel()
    elif where.set_running_or_notify_cancel():
        finer, _ = made.result()
        where.set_result((finer.shell, finer.prolongation @ before.result()[1]))


def unchanging(found: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    """A mapping that cannot be changed; its own class has no name to be pickled by."""
    return MappingProxyType(found)


class _Pickler(pickle.Pickler):
    """Pickles mappings that cannot be changed as well: garments have them."""

    def reducer_override(self, obj: object) -> Any:
        if isinstance(obj, MappingProxyType):
            return unchanging, (dict(obj),)
        return NotImplemented


def pickled(what: object) -> memoryview:
    """Anything of this package as bytes, mappings that cannot be changed too."""
    into = BytesIO()
    _Pickler(into, protocol=5).dump(what)
    return into.getbuffer()


def _write(pipe: IO[bytes], data: memoryview) -> None:
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
    """Does what is asked until stdin closes."""
    out = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    # what is printed by the way must not come between answers
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    with contextlib.suppress(EOFError, BrokenPipeError):
        while True:
            work, args, waits = _read(sys.stdin.buffer)
            later = [lambda: _read(sys.stdin.buffer)] if waits else []
            _write(out, pickled(work(*args, *later)))


if __name__ == "__main__":
    # by its own name, which what it pickles is known by
    from pinwright.drape.gpu import foreseeing

    foreseeing.main()
