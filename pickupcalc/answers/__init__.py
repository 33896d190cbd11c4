"""One module for each question a repairer asks."""
