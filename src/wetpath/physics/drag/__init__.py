"""Friction torque of turning surfaces in liquid."""
