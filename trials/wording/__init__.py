"""How numbers, lists and counts are shown to a person. No statistics, no trade rules."""
