"""Bodies and drafts for the trouser tests."""

from __future__ import annotations

from pinwright.draft.styles.trousers import STYLE
from pinwright.measures.estimate import Body, complete
from pinwright.measures.record import read_record
from pinwright.pattern.garment import Garment


def body(**given: float) -> Body:
    """A body of the textbook's size 12 proportions, with what is given taken instead."""
    record: dict[str, object] = {"height": 164.0, "waist_girth": 68.0, "hip_girth": 94.0}
    record.update(given)
    return complete(read_record(record))


def textbook_body() -> Body:
    """The measures of the worked draft in sources 2.1, waist and hip halved as it halves them."""
    return body(
        body_rise=28.0,
        waist_to_hip=20.6,
        outside_leg=104.0,
        waist_front_arc=34.0,
        waist_back_arc=34.0,
        hip_front_arc=46.0,
        hip_back_arc=48.0,
    )


def trousers(client: Body, **choices: object) -> Garment:
    """The finished draft."""
    chosen = STYLE.choose(choices)
    return STYLE.finish(STYLE.block(client, chosen), client, chosen)
