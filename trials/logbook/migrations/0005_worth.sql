-- What a year is reckoned with, as typed: each time it is typed anew a row is added, and the last one counts.

CREATE TABLE worth_bases (
    "place" BIGINT NOT NULL CHECK ("place" >= 1),
    "when" TIMESTAMP NOT NULL,
    "cleanups" DOUBLE CHECK ("cleanups" > 0),
    "gold_g" DOUBLE CHECK ("gold_g" > 0),
    "charge_kg" DOUBLE CHECK ("charge_kg" > 0),
    "feed_kg" DOUBLE CHECK ("feed_kg" > 0),
    "grade_mg_kg" DOUBLE CHECK ("grade_mg_kg" > 0),
    "tails_gold_g" DOUBLE CHECK ("tails_gold_g" > 0),
    "price" DOUBLE NOT NULL CHECK ("price" > 0),
    "price_date" DATE NOT NULL,
    "fineness" DOUBLE NOT NULL CHECK ("fineness" >= 1 AND "fineness" <= 1000),
    "payout_percent" DOUBLE NOT NULL CHECK ("payout_percent" > 0 AND "payout_percent" <= 100),
    "currency" VARCHAR NOT NULL,
    "wage_h" DOUBLE NOT NULL CHECK ("wage_h" >= 0),
    "run_wage_h" DOUBLE CHECK ("run_wage_h" >= 0),
    "sand_kg" DOUBLE CHECK ("sand_kg" >= 0),
    "sand_minutes_kg" DOUBLE CHECK ("sand_minutes_kg" >= 0),
    "typed" VARCHAR NOT NULL,
    PRIMARY KEY ("place")
);
