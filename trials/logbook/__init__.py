"""The logbook: one DuckDB file that holds every trial. Knows the words of `schemas` and nothing of the work."""
