"""Benches of pictures that measure. No real photographs of feet with a card were available: what is
printed here is from made-up scenes, until somebody publishes a comparison (`compare`)."""
