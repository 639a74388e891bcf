"""Template tags of places."""
