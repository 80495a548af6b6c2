"""The list of all trials: the words remembered for it, and how it is printed."""
