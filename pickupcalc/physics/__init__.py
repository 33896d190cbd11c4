"""Pure NumPy and SciPy in SI numbers: no units library, no files, nothing of ours imported."""
