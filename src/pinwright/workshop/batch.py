"""Many orders, or the open data set's bodies, drafted and checked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.progress import Progress

from pinwright.check import all_checks, failures
from pinwright.draft import all_styles
from pinwright.errors import OrderError, PinwrightError
from pinwright.fitting.ledger import fit, settle
from pinwright.measures import complete, read_record
from pinwright.workshop.job import run
from pinwright.workshop.order import load


def over_orders(paths: Sequence[Path], console: Console) -> list[dict[str, Any]]:
    """Run every order; one row each: name, status ("good", "wrong", "refused"), what it says.

    Raises:
        OrderError: no order is named.
    """
    if not paths:
        raise OrderError("Name at least one order, or --bodies bdims.")
    rows = []
    with Progress(console=console, transient=True) as progress:
        for path in progress.track(paths, description="orders"):
            try:
                job = run(load(path))
            except PinwrightError as err:
                rows.append({"name": str(path), "status": "refused", "says": str(err)})
                continue
            wrong = [c for c in job.checks if c.verdict == "wrong"]
            rows.append(
                {
                    "name": str(path),
                    "status": "wrong" if wrong else "good",
                    "says": "; ".join(c.name for c in wrong),
                }
            )
    return rows


def over_bodies(limit: int, console: Console) -> list[dict[str, Any]]:
    """Draft and check every style for the women of the open data set; one row a garment.

    Raises:
        PinwrightError: the data package is not installed (the sentence names the extra).
    """
    from pinwright.measures.bdims import women

    people = women()[: limit or None]
    rows = []
    with Progress(console=console, transient=True) as progress:
        for i, person in enumerate(progress.track(people, description="bodies")):
            rows += [body_row(f"woman {i + 1}", person, name) for name in all_styles()]
    return rows


def body_row(
    who: str,
    person: Mapping[str, object],
    style_name: str,
    choices: Mapping[str, object] | None = None,
) -> dict[str, Any]:
    """Draft and check one garment for one body."""
    style = all_styles()[style_name]
    try:
        body = complete(read_record(person))
        chosen = style.choose(choices or {})
        garment = settle(style.finish(style.block(body, chosen), body, chosen))
    except PinwrightError as err:
        return {"name": f"{who}, {style_name}", "status": "refused", "says": str(err)}
    wrong = failures(all_checks(fit(garment, [])))
    return {
        "name": f"{who}, {style_name}",
        "status": "wrong" if wrong else "good",
        "says": "; ".join(f"{c.name} {c.value:.2f} for {c.target:.2f}" for c in wrong),
    }
