"""What people do with the numbers, one function a deed."""
