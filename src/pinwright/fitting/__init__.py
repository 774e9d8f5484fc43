"""Findings, corrections, the ledger and truing."""
