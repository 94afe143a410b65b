"""What the readings say needs a person."""
