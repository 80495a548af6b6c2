"""A logbook and what is done with it: changes applied, trials loaded, plans stored, words remembered of each."""
