-- The numbers of the last verdict of each trial, so that one query gives a table over all of them. It is remembered, not
-- told by anyone, so the table is made anew: what it held is reached again at the next listing.

DROP TABLE verdicts;
CREATE TABLE verdicts (
    "trial" VARCHAR NOT NULL,
    "version" VARCHAR NOT NULL,
    "code" VARCHAR NOT NULL,
    "sentence" VARCHAR NOT NULL,
    "last_word" VARCHAR,
    "last_word_why" VARCHAR,
    "leaning" BOOLEAN,
    "level_named" VARCHAR,
    "scale" VARCHAR,
    "estimate" DOUBLE,
    "low" DOUBLE,
    "high" DOUBLE,
    "level" DOUBLE,
    "worth_having" DOUBLE,
    "unit" VARCHAR,
    "shown" DOUBLE,
    "shown_low" DOUBLE,
    "shown_high" DOUBLE,
    "pairs_planned" BIGINT,
    "pairs" BIGINT,
    "black_sand" DOUBLE,
    "black_sand_low" DOUBLE,
    "black_sand_high" DOUBLE,
    "minutes" DOUBLE,
    "minutes_low" DOUBLE,
    "minutes_high" DOUBLE,
    "cleanup_minutes" DOUBLE,
    "first_session" VARCHAR,
    "last_session" VARCHAR,
    "decided" VARCHAR,
    "decided_on" DATE,
    "decided_note" VARCHAR,
    PRIMARY KEY ("trial")
);
