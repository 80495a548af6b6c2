"""The list of all trials: the word on each with its numbers, which are listed, and in which form."""
