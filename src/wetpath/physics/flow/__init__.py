"""Pressure laws of the passages of the internal circulation."""
