"""Posture and shape from photographs of the client that were marked by hand.

A photograph is body data: it is kept with the client's consent, on this machine, and erased with
her. The order keeps marks only, never the picture.
"""
