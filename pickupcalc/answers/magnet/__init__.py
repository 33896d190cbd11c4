"""Can this magnet be reversed: jig, verdict, warming, compass, what it means at the strings."""
