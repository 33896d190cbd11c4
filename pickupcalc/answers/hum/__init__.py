"""What hum is left, and the chance of a quiet repair."""
