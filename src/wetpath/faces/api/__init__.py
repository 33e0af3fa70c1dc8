"""The HTTP interface for other systems: the same use cases, typed, under /api/v1."""
