"""Faces: command line, web, reports; no physics."""
