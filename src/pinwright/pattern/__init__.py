"""Pieces, seams and garments as frozen data."""
