"""Signs as they are told wherever a person reads them: in the terminal, on paper, on the page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pinwright.cutting.sentences import capital, listed, small
from pinwright.drape.data import OWN_LAYERS, PULLED_DOWN
from pinwright.drape.reading.faults import zone_of
from pinwright.drape.reading.sign import Cause, Sign
from pinwright.fitting.catalogue import entry

NONE = "No sign of a fault."
REGIONAL = ("let_out", "fullness")
"""Corrections that may be asked for in opposite ways at places apart: out at the hip, in at the
waist."""

WATCHED = "To be watched"
DOUBTED = "Do not go by what follows."


def sign_words(sign: Sign) -> str:
    """A sign in a sentence, with the numbers of the folds that show it on the pictures."""
    seen = f" ({sign.pictured} on the pictures)" if sign.folds else ""
    return f"{capital(sign.says)}{seen}."


def doubted(doubts: Sequence[str], remarks: Sequence[str]) -> tuple[str, ...]:
    """Why what follows cannot be trusted, or not everywhere; nothing where it can.

    doubts: of the reading; remarks: of the hung garment.
    """
    here = (r for r in remarks if OWN_LAYERS in r)
    return (*doubts, *here, *((DOUBTED,) if doubts else ()))


def before_signs(remarks: Sequence[str]) -> tuple[str, ...]:
    """The remarks that are signs themselves, told before those that are numbered."""
    return tuple(r for r in remarks if r.startswith(PULLED_DOWN))


def after_signs(remarks: Sequence[str]) -> tuple[str, ...]:
    """The remarks that are neither doubts nor signs."""
    first = (*doubted((), remarks), *before_signs(remarks))
    return tuple(r for r in remarks if r not in first)


def no_sign(remarks: Sequence[str]) -> str:
    """That no sign of a fault is seen, or the remark that is the only one."""
    pulled = before_signs(remarks)
    return f"No sign but this: {small(pulled[0])}" if pulled else NONE


def opposites(signs: Sequence[Sign]) -> Iterator[str]:
    """Where signs name one correction in opposite ways, and what to try first, a sentence each.

    signs: as they are numbered, faults first. First is another correction that one of them names
    and none in the opposite way, that which most signs name.
    """
    said = [(k, s, c) for k, s in enumerate((s for s in signs if s.wrong), 1) for c in s.causes]
    clashes: dict[str, list[_Said]] = {}
    for one in said:
        if any(_clash(one, other) for other in said):
            clashes.setdefault(one[2].kind, []).append(one)
    for kind, some in clashes.items():
        numbers = {k for k, _, _ in some}
        named: dict[Cause, list[int]] = {}
        for k, _, c in said:
            if c.kind not in clashes:
                named.setdefault(c, []).append(k)
        others = [c for c, by in named.items() if numbers & set(by)]
        first = max(others, key=lambda c: len(named[c]), default=None)
        asked: dict[str, list[int]] = {}
        for k, _, c in some:
            asked.setdefault(c.asks, []).append(k)
        ways = listed([f"{_signs(by)} “{asks}”" for asks, by in asked.items()])
        then = "which of them is right, only the mirror decides"
        if first is not None:
            by = _signs(named[first])
            then = (
                f"try first {small(first.title)} ({first.kind}: “{first.asks}”), named by {by}; "
                "then the mirror decides"
            )
        yield f"{some[0][2].title} ({kind}) is asked for in opposite ways, by {ways}: {then}."


_Said = tuple[int, Sign, Cause]


def _signs(numbers: Sequence[int]) -> str:
    return f"sign{'s' if len(numbers) > 1 else ''} {listed([str(n) for n in numbers])}"


def _clash(one: _Said, other: _Said) -> bool:
    """Whether two causes of signs cannot both be corrected."""
    (_, s, c), (_, t, d) = one, other
    if c.kind != d.kind or c.way == d.way or not set(s.places(c)) & set(t.places(d)):
        return False
    if c.kind in REGIONAL and (zone_of(s.place) or s.place) != (zone_of(t.place) or t.place):
        return False
    apart = s.side and t.side and not set(s.side.split()) & set(t.side.split()) - {"and"}
    return not (apart and entry(c.kind).one_sided)


def may_need(cause: Cause) -> str:
    """The correction that may remove a sign, and what it is for, in a sentence."""
    return f"It may need: {small(cause.title)} ({cause.kind}), for “{cause.sign}”."
