"""What the things said in one line do to each other: clashes, pins, what is to stay."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import combinations

from pinwright.fitting.proposal import OptionValue, Pins, Proposal, as_options
from pinwright.fitting.reader.meanings import show
from pinwright.fitting.reader.reading import Choice, Item, Question

_HALVES = {"both": {"right", "left"}, "right": {"right"}, "left": {"left"}}


def leaves(items: tuple[Item, ...]) -> Iterator[Proposal]:
    """Every proposal the items can come to, through all answers."""
    for item in items:
        if isinstance(item, Proposal):
            yield item
        else:
            for choice in item.choices:
                yield from leaves(choice.items)


def on_leaves(
    items: tuple[Item, ...], change: Callable[[Proposal], tuple[Item, ...]]
) -> tuple[Item, ...]:
    """The items with every proposal they can come to replaced by ``change`` of it."""
    out: list[Item] = []
    for item in items:
        if isinstance(item, Proposal):
            out.extend(change(item))
        else:
            choices = tuple(replace(c, items=on_leaves(c.items, change)) for c in item.choices)
            out.append(replace(item, choices=choices))
    return tuple(out)


def with_option(items: tuple[Item, ...], name: str, value: OptionValue) -> tuple[Item, ...]:
    """The items with one option added to every proposal."""

    def add(p: Proposal) -> tuple[Item, ...]:
        return (replace(p, options=as_options(dict(p.options) | {name: value})),)

    return on_leaves(items, add)


def clash(groups: list[tuple[Item, ...]]) -> str | None:
    """Why two things said in one line contradict each other: one place changed twice alike."""
    for first, second in combinations(groups, 2):
        for a in leaves(first):
            for b in leaves(second):
                if _same_change(a, b):
                    return f"it changes the {a.place.replace('_', ' ')} twice, by two amounts"
    return None


def _same_change(a: Proposal, b: Proposal) -> bool:
    if (a.kind, a.place, a.garment) != (b.kind, b.place, b.garment):
        return False
    if not _HALVES[a.side] & _HALVES[b.side]:
        return False
    if a.kind == "hem_level":
        return bool(dict(a.options).keys() & dict(b.options).keys())
    return all(a.option(n) == b.option(n) for n in ("from", "to", "part", "via", "at", "stretch"))


def ask_pins(items: tuple[Item, ...]) -> tuple[Item, ...]:
    """Ask whether a jacket hem was read with a shoulder fold of the same line pinned or before.

    Design §6 (b): shoulder fold 1 pinned, hem marked up 2: the hem edge moves 2 if read with the
    pins in, 1 if read before them.
    """
    out: list[Item] = []
    lifted: float | None = None
    for item in items:
        if lifted is not None:
            rise = lifted

            def ask(p: Proposal, rise: float = rise) -> tuple[Item, ...]:
                return _pins_question(p, rise)

            out.extend(on_leaves((item,), ask))
        else:
            out.append(item)
        if isinstance(item, Proposal) and item.kind == "let_out" and item.place == "shoulder_seam":
            lifted = -item.amount / (2 if item.meant_as == "removed" else 1)
    return tuple(out)


def _pins_question(p: Proposal, rise: float) -> tuple[Item, ...]:
    if p.kind != "hem" or p.place != "jacket_hem" or p.pins is not None:
        return (p,)
    with_pins, before = replace(p, pins="in"), replace(p, pins="before")

    def choice(key: Pins, read: Proposal, change: float) -> Choice:
        way = "shorter" if change < 0 else "longer"
        when = "with the pins in" if key == "in" else "before the pins"
        return Choice(key, f"read {when}: the hem line moves {show(abs(change))} {way}", (read,))

    choices = (choice("in", with_pins, p.amount), choice("before", before, p.amount + rise))
    text = f"hem {show(abs(p.amount))}: read with the shoulder pins in, or before them?"
    return (Question("pins", text, choices, "pins"),)
