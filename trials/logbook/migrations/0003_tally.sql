-- Every stored change, written in the same transaction as the change itself: a log cut off, or a file gone back to an
-- earlier state, then shows in its numbers. The file `.tally` beside the logbook holds the same, to compare with.

CREATE TABLE tally (
    "number" BIGINT NOT NULL CHECK ("number" >= 1),
    "trial" VARCHAR NOT NULL,
    "stored_at" TIMESTAMP NOT NULL,
    "runs" BIGINT NOT NULL CHECK ("runs" >= 0),
    "digest" VARCHAR NOT NULL,
    "shape" BIGINT NOT NULL,
    PRIMARY KEY ("number", "trial")
);
