"""How far chance spreads what a run shows, reckoned without drawing: nodes, grains, sums of grains, scale readings."""
