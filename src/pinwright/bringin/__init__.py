"""Old paper patterns brought in: outlines from SVG, DXF or a photograph become pieces."""
