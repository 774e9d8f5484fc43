"""The page for putting marks on photographs of the client by hand: one file, no network, no server.

The picture is opened in the browser only; the page gives text for the order, holding the marks.
"""

from __future__ import annotations

import json
from html import escape
from importlib.resources import files
from string import Template

from pinwright.figure.photographs.faults import ASLANT, BACK, DISTANCE, FRONT, LENS, ORDER, TALL
from pinwright.figure.photographs.places import CAUTION, PLUMB, VIEWS, places
from pinwright.figure.picture_parts import NAMED


def photo_page() -> str:
    """The whole page as HTML text; the same for every client, for it holds nothing of hers."""
    known = {
        "views": {view: [_place(p.name, p.label, p.where, p.needed) for p in places(view)]
                  for view in VIEWS},
        "plumb": PLUMB, "distance": DISTANCE, "lens": LENS, "tall": TALL, "aslant": ASLANT,
        "order": ORDER, "before": FRONT, "behind": BACK,
    }  # fmt: skip
    views = "".join(
        f'<label><input type="radio" name="view" value="{view}"{" checked" if i == 0 else ""}> '
        f"{escape(NAMED[view])}</label>"
        for i, view in enumerate(VIEWS)
    )
    return Template(_part("photo.html")).substitute(
        style=_part("page.css") + _part("photo.css"),
        script=_part("photo.js"),
        views=views,
        caution=escape(CAUTION),
        # a script's text ends at the first "</", whatever it is in
        known=json.dumps(known, ensure_ascii=False).replace("<", "\\u003c"),
    )


def _place(name: str, label: str, where: str, needed: bool) -> dict[str, str | bool]:
    return {"name": name, "label": label, "where": where, "needed": needed}


def _part(name: str) -> str:
    return (files("pinwright.web") / name).read_text(encoding="utf-8")
