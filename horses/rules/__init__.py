"""What the calendar and the silence of a team say needs a person, and the life of those alerts."""
