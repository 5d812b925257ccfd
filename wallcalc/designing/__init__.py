"""A wall and an option become a design; many options become a study."""
