"""Strings, the pickup as a sensor, samples and their loudness."""
