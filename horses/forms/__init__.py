"""Forms: read what people typed, and say beside the field what is wrong with it."""
