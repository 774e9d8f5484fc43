"""The lay: pieces placed on the cloth."""

from pinwright.cutting.lay.placing import Field, Lay, Phase, Placement, Template, placed

__all__ = ["Field", "Lay", "Phase", "Placement", "Template", "placed"]
