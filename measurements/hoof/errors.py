"""The family of named errors: a question that has no honest answer raises one of these."""


class HoofError(ValueError):
    """Base of all refusals in this package; its message is a sentence a person can read."""
