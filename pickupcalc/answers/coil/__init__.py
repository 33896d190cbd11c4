"""How many henries, and whether what lies on the bench is what it should be."""
