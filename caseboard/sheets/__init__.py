"""What is printed: read, frozen into a value, fitted to the page, drawn."""
