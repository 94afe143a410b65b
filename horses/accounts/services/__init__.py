"""Deeds about an account; each owns its transaction."""
