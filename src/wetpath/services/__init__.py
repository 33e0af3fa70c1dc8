"""The use cases, one set for all faces: load and rate, check a file, show a liquid, the demo, the record."""
