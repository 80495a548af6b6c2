"""The round in a browser: the same questions, refusals, words and charts, served from this machine alone."""
