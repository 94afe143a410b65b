"""Reads of readings, films and targets."""
