"""Watching a running pump: the hidden margin from ordinary signals."""
