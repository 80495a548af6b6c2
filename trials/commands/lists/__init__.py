"""What is printed of many: the list of all trials, and what loading did to each."""
