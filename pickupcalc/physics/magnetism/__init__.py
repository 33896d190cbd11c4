"""Permanent magnets and steel: fields, working points, magnetising, forces."""
