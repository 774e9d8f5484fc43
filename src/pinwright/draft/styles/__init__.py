"""Garment styles; each module exposes one STYLE."""
