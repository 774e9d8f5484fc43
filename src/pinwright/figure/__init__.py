"""The client's figure: her own body in three dimensions, from the measurement record.

Coordinates: cm; x to her left, y to her back, z up from the floor. She looks towards -y.
"""
