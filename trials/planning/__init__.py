"""A question -> a plan that can answer it: draw, tags, pairs needed, noise budget, ways compared, rehearsal. Pure."""
