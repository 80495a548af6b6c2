"""The strip of the logbook: a row a trial, and under those of one change what it comes to over its lots."""
