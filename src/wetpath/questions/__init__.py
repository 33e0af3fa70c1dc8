"""Questions asked of the rating."""
