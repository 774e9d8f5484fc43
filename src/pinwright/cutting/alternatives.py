"""What would change the need: another width, no reserve, one way or either way, folded or open.

Each is laid anew with the same short time, twice, beside the lay as it is, so that the comparison
is fair; the two runs' spread says how sure the difference is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import hypot, isclose

from pinwright.cutting.buying import price_of
from pinwright.cutting.lay.placing import Field, Lay, Template
from pinwright.cutting.material import LayKind, Material
from pinwright.errors import LayError

WIDTHS = (90.0, 115.0, 140.0, 150.0, 160.0)
"""Widths cloth is woven in, cm (common practice)."""

Build = Callable[[Material, bool], tuple[tuple[Template, ...], Field]]
"""(cloth, with reserve) -> what is laid and on what."""

Solve = Callable[[tuple[Template, ...], Field], Lay]
"""Lays templates on a field, always for the same seconds."""


@dataclass(frozen=True, slots=True)
class Change:
    """What a change does to the need.

    ``length`` (cm) is the better of its runs and ``difference`` that minus the better of the
    present lay's, negative when it saves; ``uncertainty`` (cm) is the spread of the runs of both.
    ``cost`` is the difference in cost at the same price a metre, none without a price. Where
    nothing can be laid, ``length`` is none and ``refused`` says why.
    """

    what: str
    length: float | None
    difference: float = 0.0
    uncertainty: float = 0.0
    cost: float | None = None
    refused: str = ""

    @property
    def certain(self) -> bool:
        """Whether the difference is more than the runs differ among themselves."""
        return self.length is not None and abs(self.difference) > self.uncertainty


def variants(material: Material, wider: int = 2) -> list[tuple[str, Material, bool]]:
    """(what, cloth, with reserve) of every change worth trying on this cloth.

    A folded and an open lay are not compared where the cloth has flaws: they lie elsewhere then.
    """
    found: list[tuple[str, Material, bool]] = []
    for width in [w for w in WIDTHS if w > material.width + 1.0][:wider]:
        found.append((f"{width:g} cm wide", replace(material, width=width), True))
    found.append(("without reserve", material, False))
    if material.one_way:
        found.append(("either way up", replace(material, direction="none"), True))
    else:
        found.append(("one way only", replace(material, direction="nap"), True))
    if not material.flaws:
        other: LayKind = "open" if material.lay == "folded" else "folded"
        found.append((other, replace(material, lay=other), True))
    return found


def alternatives(
    build: Build,
    material: Material,
    solve: Solve,
    runs: int = 2,
    wanted: Sequence[tuple[str, Material, bool]] | None = None,
) -> Iterator[Change]:
    """Each change of the need, as soon as it is known; stop taking them to stop.

    The cloth is taken as endless and without remnants for the comparison, its flaws where they
    are. Reserve is left out only where the pieces have some. The
    present lay is laid first, with as many runs and the same seconds.

    Raises:
        LayError: fewer than two runs, or the pieces cannot be laid on the cloth as it is.
    """
    if runs < 2:
        raise LayError(f"The lay is compared by {runs} runs; it takes at least 2 to tell a spread.")
    plain = replace(material, length=None, remnants=())
    base, base_spread = _laid(build, plain, True, solve, runs)
    for what, cloth, reserve in variants(plain) if wanted is None else wanted:
        cloth = replace(cloth, length=None, remnants=())
        try:
            if not reserve and isclose(_area(build, cloth, False), _area(build, cloth, True)):
                continue  # there is none to leave out
            length, spread = _laid(build, cloth, reserve, solve, runs)
        except LayError as error:
            yield Change(what, None, refused=str(error))
            continue
        difference = length - base
        yield Change(
            what,
            length,
            difference,
            hypot(spread, base_spread),
            price_of(difference, material.price),
        )


def _area(build: Build, material: Material, reserve: bool) -> float:
    return sum(t.area * t.plies for t in build(material, reserve)[0])


def _laid(
    build: Build, material: Material, reserve: bool, solve: Solve, runs: int
) -> tuple[float, float]:
    """(best length, spread of the runs), cm."""
    templates, field = build(material, reserve)
    lengths = [solve(templates, field).length for _ in range(runs)]
    return min(lengths), max(lengths) - min(lengths)
