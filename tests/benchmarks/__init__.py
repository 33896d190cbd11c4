"""Speed, memory and growth; see __main__."""
