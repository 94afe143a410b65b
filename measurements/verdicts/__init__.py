"""What the numbers of a foot say, kept with what it rests on, and its words."""
