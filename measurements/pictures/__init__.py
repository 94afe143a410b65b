"""Pictures as bytes: decoded within limits, searched for the card. The mathematics is in hoof/pictures/."""
