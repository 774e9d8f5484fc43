"""How a score of the fit changes with the cut, the cloth and the waist: one solve at rest."""
