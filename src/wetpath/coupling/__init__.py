"""The magnetic coupling: from geometry to the few numbers a rating needs, and its state at a load."""
