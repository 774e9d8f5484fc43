"""From what a note proposes to a correction of one garment, in the entry's own unit and sign."""

from __future__ import annotations

from collections.abc import Mapping

from pinwright.errors import CorrectionError
from pinwright.fitting.catalogue import entry
from pinwright.fitting.correction import Correction, Form, one_leg, per_edge
from pinwright.fitting.places import place_edges
from pinwright.fitting.proposal import Proposal
from pinwright.pattern.garment import Garment

PLAIN = ("level", "length", "intake", "measure")


def correction_from(
    proposal: Proposal,
    garment: Garment,
    form: Form = "cut",
    said: str = "",
    effects: Mapping[str, float] | None = None,
) -> Correction:
    """The correction a proposal means for a garment.

    An amount meant as a fold, as cloth removed or as a change of girth becomes movement of each
    edge; a dart's fold becomes its intake (twice the depth). A measured waist becomes the change
    that is left after ``effects``, what earlier corrections did to the targets (cm).

    Raises:
        CorrectionError: unknown kind or place, or an amount that cannot be meant so.
    """
    e = entry(proposal.kind)
    options = {k: v for k, v in proposal.options if any(o.name == k for o in e.options)}
    if proposal.side != "both" and one_leg(e, proposal.place, options):
        options.setdefault("fork", "stays")
    components = {k: float(v) for k, v in proposal.options if k in e.components}
    if e.components == ("amount",) or not components:
        amount = _own_amount(proposal, garment)
        if proposal.meant_as == "measure":
            amount -= (effects or {}).get("waist", 0.0)
        components = {e.components[0]: amount}
    return Correction(
        kind=proposal.kind,
        place=proposal.place,
        side=proposal.side,
        amounts=components,
        options=options,
        form=form,
        meant_as=proposal.meant_as,
        said=said,
        belongs_to=e.belongs_to,
    )


def _own_amount(proposal: Proposal, garment: Garment) -> float:
    e = entry(proposal.kind)
    meant = proposal.meant_as
    if meant == "measure" and e.measured is not None:
        return e.measured(garment, proposal.amount)
    if (
        meant in e.meanings
        and meant in ("edge", "fold", "removed", "girth")
        and "edge" in (e.meanings)
    ):
        if e.edges is not None:
            edges = e.edges(garment, proposal.place, proposal.side, dict(proposal.options))
            return per_edge(e, meant, proposal.amount, edges)
        part = str(proposal.option("part") or "both")
        edges = len(place_edges(garment, proposal.place, part))
        own = per_edge(e, meant, proposal.amount, edges * (2 if proposal.side == "both" else 1))
        # cloth taken from a seam by one of its edges is taken by that edge alone
        return 2.0 * own if meant == "removed" and part != "both" else own
    if meant == "fold" and "intake" in e.meanings:
        return 2.0 * proposal.amount
    if meant in e.meanings or meant in PLAIN:
        return proposal.amount
    raise CorrectionError(
        f"{e.title}: an amount cannot be meant as {meant!r}; it may be {', '.join(e.meanings)}."
    )
