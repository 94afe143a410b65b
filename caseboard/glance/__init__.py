"""The first screen of a board: what matters, the four feet, the next visit, what to do."""
