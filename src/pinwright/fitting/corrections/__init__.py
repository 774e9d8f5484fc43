"""The catalogue of corrections; each module declares one or a few."""
