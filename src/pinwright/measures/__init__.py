"""Body measurements: the terms, the record of what was taped, and estimates of the rest."""

from pinwright.measures.estimate import Body, Estimate, complete, missing
from pinwright.measures.record import MeasureWarning, Record, Side, read_record, warnings
from pinwright.measures.terms import TERMS, Term
from pinwright.measures.units import format_length, parse_length

__all__ = [
    "TERMS",
    "Body",
    "Estimate",
    "MeasureWarning",
    "Record",
    "Side",
    "Term",
    "complete",
    "format_length",
    "missing",
    "parse_length",
    "read_record",
    "warnings",
]
