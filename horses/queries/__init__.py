"""Reads. Each starts from what one person may see, or from the horse that a job works on."""
