"""Runs -> one number a run -> one difference a pair. One file a measure, all listed in `catalogue`."""
