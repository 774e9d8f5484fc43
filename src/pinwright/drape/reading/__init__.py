"""Reading a hung garment: strain, gap, pressure, levels, folds, and a cutter's signs."""

from pinwright.drape.reading.reading import Reading, read

__all__ = ["Reading", "read"]
