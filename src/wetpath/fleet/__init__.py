"""Fleets of watched pumps: hours with their range, trends, and the parts in which a year of a fleet is replayed."""
