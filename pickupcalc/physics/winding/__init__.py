"""Coils, poles, bars and plates from geometry: inductance, losses, a short network of them."""
