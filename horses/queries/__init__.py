"""Reads. Each starts from what one person may see, or from a horse at work."""
