"""Forms about an account."""
