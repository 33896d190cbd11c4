"""How a position sounds: what is played, which partials arrive, what differs, takes to listen to."""
