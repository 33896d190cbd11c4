"""Readings and recordings: impedance, fits, sweeps, mains lines, hum fields, weighting."""
