"""Slow change in one foot, told from growth, error, hands and trims. Pure."""
