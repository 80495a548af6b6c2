"""What is listed: all trials with the words remembered of them, and what loading did to each."""
