"""Plain bearing films."""
