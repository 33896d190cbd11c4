"""What people look at: plots, notebook widgets, the written sheet. No physics is computed here."""
