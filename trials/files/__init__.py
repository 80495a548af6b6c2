"""The exchange form: trial.toml, runs.csv and changes.csv, in and out."""
