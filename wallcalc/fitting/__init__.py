"""The fitted layout: studs where this wall needs them."""
