"""Sensitivities of a rating: what a change of any input is worth."""
