"""The drape on a graphics card: the steps of the solver for many variants of a shell at once."""
