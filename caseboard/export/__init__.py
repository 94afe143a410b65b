"""The copy of a case, or of what is kept of a person, for whoever may have it."""
