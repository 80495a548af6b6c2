"""How far luck spreads a run, in formulas."""
