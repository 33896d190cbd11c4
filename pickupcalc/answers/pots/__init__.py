"""Which pots, which capacitor: aims, candidates, the ranking, what each does and how sure that is."""
