"""What stands at the head of sheets that are of an order, not of one garment."""

from __future__ import annotations

import datetime as dt

from pinwright.sheets.drawn import Heading
from pinwright.workshop.job import Job
from pinwright.workshop.order import Order


def order_heading(job: Job) -> Heading:
    """What stands at the head of a lay or of the figure, which are for all garments."""
    return _heading(job.order, " and ".join(g.draft.title.lower() for g in job.garments))


def client_heading(order: Order) -> Heading:
    """The same where nothing could be drafted."""
    return _heading(order, " and ".join(g.style for g in order.garments))


def _heading(o: Order, garment: str) -> Heading:
    return Heading(
        client=o.client.name,
        order=o.number or "without number",
        garment=garment,
        fitting=f"after fitting {len(o.fittings)}" if o.fittings else "for the fitting",
        date=str(o.fittings[-1].date if o.fittings else o.date or dt.date.today()),
        unit=o.client.units,
    )
