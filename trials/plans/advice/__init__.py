"""What a plan must hear before anyone digs: what can't be answered as planned, and what would answer it."""
