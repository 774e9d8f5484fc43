"""The figure measured as a tape would, by code that shares nothing with the fitting of it."""
