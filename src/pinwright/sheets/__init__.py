"""Pieces for the table: 1:1 sheets, the recut sheet, and the export for other tools."""
