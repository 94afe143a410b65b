"""Forms that read numbers as people write them."""
