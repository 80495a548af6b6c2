-- A change is stored once it lies in the main file, so nothing is left to be counted: the tally goes.

DROP TABLE tally;
