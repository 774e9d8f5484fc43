"""Allowances, corners, reserve, and the cloth as it was cut."""
