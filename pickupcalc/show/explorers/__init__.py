"""The notebooks' dials, pictures and words: a frame they share, and an explorer for each question."""
