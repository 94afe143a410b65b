"""What `manage.py setup` writes and prints."""
