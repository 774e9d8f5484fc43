"""The fitted shapes."""
