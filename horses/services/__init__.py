"""What people do, one function a deed: rows, history line and notices in one transaction."""
