"""Liquids: property sources turned into tables with batched lookup."""
