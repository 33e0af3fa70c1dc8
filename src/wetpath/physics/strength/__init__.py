"""Pressure parts."""
