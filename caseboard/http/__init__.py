"""What happens to a request before and after its view: doors, limits, pages for what went wrong."""
