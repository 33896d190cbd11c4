"""What lies on the bench, with units: pickups, controls, cable, amplifier."""
