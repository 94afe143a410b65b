"""Readings from somebody's spreadsheet."""
