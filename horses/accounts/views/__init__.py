"""Pages about an account."""
