"""Cloth at rest on a body: energies, contact, and the implicit steps that bring it to rest."""
