"""What the building feels: bands, doses, verdicts and words on the floor in motion."""
