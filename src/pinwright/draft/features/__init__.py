"""Features that styles put on blocks."""
