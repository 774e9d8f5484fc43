"""Curves of lines and cubic Béziers: measured, cut, moved, crossed, offset; no garments here."""
