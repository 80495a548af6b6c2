-- What a list of trials names as next, and what each change costs of its own. The numbers of verdicts are remembered, not
-- told by anyone: what is remembered of each is reached again at the next listing.

DELETE FROM verdicts;
ALTER TABLE verdicts ADD COLUMN "pairs_for_new_trial" BIGINT;
ALTER TABLE verdicts ADD COLUMN "losses_start" VARCHAR;
ALTER TABLE verdicts ADD COLUMN "costs_over" VARCHAR[];
CREATE TABLE own_costs (
    "trial" VARCHAR NOT NULL,
    "place" BIGINT NOT NULL CHECK ("place" >= 1),
    "when" TIMESTAMP NOT NULL,
    "typed" VARCHAR NOT NULL,
    PRIMARY KEY ("trial", "place")
);
