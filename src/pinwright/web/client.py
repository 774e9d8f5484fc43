"""The client and her measures as HTML, taped and estimated told apart."""

from __future__ import annotations

from html import escape

from pinwright.cutting.sentences import capital
from pinwright.measures import TERMS
from pinwright.measures.units import LengthUnit, format_length
from pinwright.workshop.job import Job


def measure_text(value: float, term_unit: str, unit: LengthUnit) -> str:
    """A measure as a person reads it."""
    if term_unit == "cm":
        return format_length(value, unit)
    return f"{value:.1f}°" if term_unit == "deg" else f"{value:.1f} kg"


def measures_section(job: Job) -> str:
    """Two lists: what was taped, and what was estimated with its standard error."""
    body, unit = job.body, job.order.client.units
    used = {m for g in job.garments for m in g.draft.estimated}
    taped, guessed = [], []
    for name, term in TERMS.items():
        label = escape(capital(term.label))
        if name in body.estimated:
            e = body.estimated[name]
            error = measure_text(e.standard_error, term.unit, unit)
            kind = "used" if name in used else ""
            note = '<em class="tag">used in the draft</em>' if name in used else ""
            guessed.append(
                f'<div class="m est {kind}"><dt>{label} {note}</dt>'
                f'<dd><span class="v">≈ {measure_text(e.value, term.unit, unit)}</span> '
                f'<span class="se">± {error}</span>'
                f'<span class="model">{escape(e.model.replace("_", " "))}</span></dd></div>'
            )
            continue
        value = measure_text(body[name], term.unit, unit)
        apart = body.sides.get(name)
        if apart is not None and apart["left"] != apart["right"]:
            value = (
                f"R {measure_text(apart['right'], term.unit, unit)} "
                f"L {measure_text(apart['left'], term.unit, unit)}"
            )
        taped.append(
            f'<div class="m"><dt>{label}</dt><dd><span class="v">{escape(value)}</span></dd></div>'
        )
    odd = "".join(f"<li>{escape(w.message)}</li>" for w in job.warnings)
    doubt = f'<div class="doubt"><h3>Look again</h3><ul>{odd}</ul></div>' if odd else ""
    return (
        f'{doubt}<div class="bodies"><div><h3>Taped <span class="n">{len(taped)}</span></h3>'
        f'<dl class="measures">{"".join(taped)}</dl></div>'
        f'<div><h3>Estimated, not taped <span class="n">{len(guessed)}</span></h3>'
        '<p class="lead">From the taped ones, each with its standard error (±): two of three '
        "times the tape would read within it. Tape those used in the draft first.</p>"
        f'<dl class="measures">{"".join(guessed)}</dl></div></div>'
    )


def choices_section(job: Job) -> str:
    """The garments of the order with the choices that were made, and the cloth."""
    out = []
    for g in job.garments:
        chosen = {c.name: c for c in g.style.choices}
        rows = []
        for name, value in g.choices.items():
            c = chosen[name]
            text = ("yes" if value else "no") if isinstance(value, bool) else str(value)
            if isinstance(value, float):
                text = f"{value:g} {c.unit if c.unit != 'count' else ''}".strip()
            mine = ' class="mine"' if name in g.spec.choices else ""
            rows.append(
                f"<div{mine}><dt>{escape(capital(name.replace('_', ' ')))}</dt>"
                f"<dd>{escape(text.replace('_', ' '))}</dd></div>"
            )
        out.append(
            f'<div class="choice"><h3>{escape(capital(g.draft.title))}</h3>'
            f'<p class="lead">{escape(g.style.summary)}</p><dl>{"".join(rows)}</dl></div>'
        )
    cloth = "".join(
        f"<li>{escape(capital(c.layer))}: {escape(c.name or 'not named')}, "
        f"{format_length(c.width, job.order.client.units)} wide"
        f"{', one way' if c.directional else ''}</li>"
        for c in job.order.cloth
    )
    held = (
        f'<div class="choice"><h3>Cloth</h3><ul class="plain">{cloth}</ul></div>' if cloth else ""
    )
    return f'<div class="choices">{"".join(out)}{held}</div>'
