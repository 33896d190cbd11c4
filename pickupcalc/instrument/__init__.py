"""Parts put together: wiring, positions, the job file in and out."""
