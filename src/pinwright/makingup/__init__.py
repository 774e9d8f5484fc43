"""What follows from the shell by rule: facings, interfacing, pocketing."""
