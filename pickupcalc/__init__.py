"""Magnetic pickups on the bench: what they measure, how they combine, what to change."""
