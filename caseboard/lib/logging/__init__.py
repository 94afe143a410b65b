"""What goes into the log, and what never does."""
