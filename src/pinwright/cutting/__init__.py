"""Allowances, reserve and cut lines."""
