"""Uncertainty of a rating: how sure the margins are, and which doubt is worth removing by a measurement."""
