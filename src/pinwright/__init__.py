"""pinwright: made-to-measure cutting that follows the pins."""

__version__ = "0.1.0"
