"""Sensors: what an instrument reads and how well."""
