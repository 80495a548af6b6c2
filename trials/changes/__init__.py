"""Every change of a trial as a function of its record."""
