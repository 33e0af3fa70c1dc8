"""Centrifugal pump hydraulics."""
