"""Money and emissions over the years."""
