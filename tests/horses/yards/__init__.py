"""A yard: its horses, its people, and what they may do on whose horse."""
