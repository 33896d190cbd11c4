"""Readings made trustworthy: meters, the jack, a sound card, and the hum before and after."""
