"""Reference data, one TOML or CSV file a subject, each value with its source."""
