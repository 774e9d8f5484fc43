"""The figure fitted to a measurement record."""
