-- What one vial of grains came to each time it was counted, which tells how far a count is off.

ALTER TABLE trials ADD COLUMN "guess_recount" VARCHAR;
