-- The first shape of the logbook. Stored units only: g, mg, mm, L, min, deg, C. No foreign keys: a parent row
-- with children refuses innocent updates, so references are checked by the code that writes.
-- Words with a closed list of values stay VARCHAR, since a list here could not grow; `schemas` checks them.

CREATE TABLE trials (
    "name" VARCHAR NOT NULL,
    "question" VARCHAR NOT NULL,
    "measure" VARCHAR NOT NULL,
    "worth_having" DOUBLE CHECK ("worth_having" > 0 AND "worth_having" <= 1000),
    "pairs" BIGINT NOT NULL CHECK ("pairs" >= 1 AND "pairs" <= 200),
    "spares" BIGINT NOT NULL CHECK ("spares" >= 0 AND "spares" <= 5),
    "seed" BIGINT CHECK ("seed" >= 0),
    "look_after" BIGINT CHECK ("look_after" >= 4),
    "knew" VARCHAR,
    "locked" DATE,
    "audit" BOOLEAN NOT NULL,
    "gear_kind" VARCHAR NOT NULL,
    "gear_width_mm" DOUBLE CHECK ("gear_width_mm" >= 50 AND "gear_width_mm" <= 5000),
    "gear_length_mm" DOUBLE CHECK ("gear_length_mm" >= 50 AND "gear_length_mm" <= 5000),
    "change_variable" VARCHAR,
    "change_baseline" VARCHAR,
    "change_changed" VARCHAR[],
    "change_reversible" VARCHAR,
    "change_twin" VARCHAR,
    "held_pitch_deg" DOUBLE CHECK ("held_pitch_deg" >= -2 AND "held_pitch_deg" <= 60),
    "held_cross_tilt_deg" DOUBLE CHECK ("held_cross_tilt_deg" >= -6 AND "held_cross_tilt_deg" <= 6),
    "held_water_l_min" DOUBLE CHECK ("held_water_l_min" >= 0.1 AND "held_water_l_min" <= 20000),
    "held_depth_mm" DOUBLE CHECK ("held_depth_mm" >= 0.2 AND "held_depth_mm" <= 150),
    "held_feed_kg_h" DOUBLE CHECK ("held_feed_kg_h" >= 0.01 AND "held_feed_kg_h" <= 20000),
    "held_rpm" DOUBLE CHECK ("held_rpm" >= 0 AND "held_rpm" <= 3000),
    "held_stroke_mm" DOUBLE CHECK ("held_stroke_mm" >= 1 AND "held_stroke_mm" <= 40),
    "held_wetting_drops_10l" DOUBLE CHECK ("held_wetting_drops_10l" >= 0 AND "held_wetting_drops_10l" <= 100),
    "held_temp_c" DOUBLE CHECK ("held_temp_c" >= 0 AND "held_temp_c" <= 40),
    "held_charge_g" DOUBLE CHECK ("held_charge_g" > 0 AND "held_charge_g" <= 5000000),
    "limits_black_sand" DOUBLE CHECK ("limits_black_sand" >= 1 AND "limits_black_sand" <= 10),
    "limits_minutes" DOUBLE CHECK ("limits_minutes" >= 1 AND "limits_minutes" <= 10),
    "limits_concentrate" DOUBLE CHECK ("limits_concentrate" >= 1 AND "limits_concentrate" <= 10),
    "limits_water" DOUBLE CHECK ("limits_water" >= 1 AND "limits_water" <= 10),
    "tails_caught" VARCHAR,
    "tails_by" VARCHAR,
    "tails_finds_percent" DOUBLE CHECK ("tails_finds_percent" > 0 AND "tails_finds_percent" <= 100),
    "grains_stuff" VARCHAR,
    "scales_gold_g" DOUBLE CHECK ("scales_gold_g" >= 1e-05 AND "scales_gold_g" <= 100),
    "scales_sand_g" DOUBLE CHECK ("scales_sand_g" >= 1e-05 AND "scales_sand_g" <= 1000),
    "sizes_series" VARCHAR,
    "sizes_main" VARCHAR,
    "typed" VARCHAR NOT NULL,
    PRIMARY KEY ("name")
);

CREATE TABLE lots (
    "trial" VARCHAR NOT NULL,
    "place" BIGINT NOT NULL,
    "name" VARCHAR NOT NULL,
    "kind" VARCHAR NOT NULL,
    "mass_g" DOUBLE CHECK ("mass_g" >= 50 AND "mass_g" <= 5000000),
    "size" VARCHAR,
    "mixing" VARCHAR,
    "splitting" VARCHAR,
    "pickers_over_mm" DOUBLE CHECK ("pickers_over_mm" >= 0.038 AND "pickers_over_mm" <= 50),
    PRIMARY KEY ("trial", "name")
);

CREATE TABLE amendments (
    "trial" VARCHAR NOT NULL,
    "place" BIGINT NOT NULL,
    "when" DATE NOT NULL,
    "what" VARCHAR NOT NULL,
    "was" VARCHAR NOT NULL,
    "now" VARCHAR NOT NULL,
    "why" VARCHAR NOT NULL,
    PRIMARY KEY ("trial", "place")
);

CREATE TABLE runs (
    "trial" VARCHAR NOT NULL,
    "pitch_deg" DOUBLE CHECK ("pitch_deg" >= -2 AND "pitch_deg" <= 60),
    "cross_tilt_deg" DOUBLE CHECK ("cross_tilt_deg" >= -6 AND "cross_tilt_deg" <= 6),
    "water_l_min" DOUBLE CHECK ("water_l_min" >= 0.1 AND "water_l_min" <= 20000),
    "depth_mm" DOUBLE CHECK ("depth_mm" >= 0.2 AND "depth_mm" <= 150),
    "feed_kg_h" DOUBLE CHECK ("feed_kg_h" >= 0.01 AND "feed_kg_h" <= 20000),
    "rpm" DOUBLE CHECK ("rpm" >= 0 AND "rpm" <= 3000),
    "stroke_mm" DOUBLE CHECK ("stroke_mm" >= 1 AND "stroke_mm" <= 40),
    "wetting_drops_10l" DOUBLE CHECK ("wetting_drops_10l" >= 0 AND "wetting_drops_10l" <= 100),
    "temp_c" DOUBLE CHECK ("temp_c" >= 0 AND "temp_c" <= 40),
    "gold_mg" DOUBLE CHECK ("gold_mg" >= 0 AND "gold_mg" <= 10000000),
    "tails_gold_mg" DOUBLE CHECK ("tails_gold_mg" >= 0 AND "tails_gold_mg" <= 10000000),
    "grains" BIGINT CHECK ("grains" >= 0 AND "grains" <= 100000),
    "seeded" BIGINT CHECK ("seeded" >= 0 AND "seeded" <= 5000),
    "kept" BIGINT CHECK ("kept" >= 0 AND "kept" <= 5000),
    "in_tails" BIGINT CHECK ("in_tails" >= 0 AND "in_tails" <= 5000),
    "pair" BIGINT NOT NULL CHECK ("pair" >= 1 AND "pair" <= 1000),
    "arm" VARCHAR NOT NULL,
    "turn" BIGINT CHECK ("turn" >= 1 AND "turn" <= 5000),
    "tag" VARCHAR,
    "session" VARCHAR,
    "minutes" DOUBLE CHECK ("minutes" >= 0.2 AND "minutes" <= 1440),
    "cleanup_minutes" DOUBLE CHECK ("cleanup_minutes" >= 0 AND "cleanup_minutes" <= 1440),
    "fed_g" DOUBLE CHECK ("fed_g" > 0 AND "fed_g" <= 5000000),
    "fed_lot" VARCHAR,
    "black_sand_g" DOUBLE CHECK ("black_sand_g" >= 0 AND "black_sand_g" <= 5000000),
    "concentrate_g" DOUBLE CHECK ("concentrate_g" >= 0 AND "concentrate_g" <= 5000000),
    "pickers_mg" DOUBLE CHECK ("pickers_mg" >= 0 AND "pickers_mg" <= 10000000),
    "largest_mg" DOUBLE CHECK ("largest_mg" >= 0 AND "largest_mg" <= 10000000),
    "gold_gross_g" DOUBLE CHECK ("gold_gross_g" >= 0 AND "gold_gross_g" <= 5000000),
    "gold_tare_g" DOUBLE CHECK ("gold_tare_g" >= 0 AND "gold_tare_g" <= 5000000),
    "tails_gold_gross_g" DOUBLE CHECK ("tails_gold_gross_g" >= 0 AND "tails_gold_gross_g" <= 5000000),
    "tails_gold_tare_g" DOUBLE CHECK ("tails_gold_tare_g" >= 0 AND "tails_gold_tare_g" <= 5000000),
    "black_sand_gross_g" DOUBLE CHECK ("black_sand_gross_g" >= 0 AND "black_sand_gross_g" <= 5000000),
    "black_sand_tare_g" DOUBLE CHECK ("black_sand_tare_g" >= 0 AND "black_sand_tare_g" <= 5000000),
    "concentrate_gross_g" DOUBLE CHECK ("concentrate_gross_g" >= 0 AND "concentrate_gross_g" <= 5000000),
    "concentrate_tare_g" DOUBLE CHECK ("concentrate_tare_g" >= 0 AND "concentrate_tare_g" <= 5000000),
    "water_end_l_min" DOUBLE CHECK ("water_end_l_min" >= 0.1 AND "water_end_l_min" <= 20000),
    "stripped" BOOLEAN,
    "conditioned" BOOLEAN,
    "dry" BOOLEAN,
    "magnet" BOOLEAN,
    "loupe" BOOLEAN,
    "feeder" VARCHAR,
    "panner" VARCHAR,
    "void" VARCHAR,
    "void_gold_known" BOOLEAN,
    "note" VARCHAR,
    "typed" VARCHAR NOT NULL,
    PRIMARY KEY ("trial", "pair", "arm")
);

CREATE TABLE size_classes (
    "trial" VARCHAR NOT NULL,
    "pair" BIGINT NOT NULL,
    "arm" VARCHAR NOT NULL,
    "place" BIGINT NOT NULL,
    "gold_mg" DOUBLE CHECK ("gold_mg" >= 0 AND "gold_mg" <= 10000000),
    "tails_gold_mg" DOUBLE CHECK ("tails_gold_mg" >= 0 AND "tails_gold_mg" <= 10000000),
    "grains" BIGINT CHECK ("grains" >= 0 AND "grains" <= 100000),
    "seeded" BIGINT CHECK ("seeded" >= 0 AND "seeded" <= 5000),
    "kept" BIGINT CHECK ("kept" >= 0 AND "kept" <= 5000),
    "in_tails" BIGINT CHECK ("in_tails" >= 0 AND "in_tails" <= 5000),
    "label" VARCHAR NOT NULL,
    PRIMARY KEY ("trial", "pair", "arm", "label")
);

CREATE TABLE corrections (
    "trial" VARCHAR NOT NULL,
    "place" BIGINT NOT NULL,
    "when" TIMESTAMP NOT NULL,
    "pair" BIGINT,
    "arm" VARCHAR,
    "field" VARCHAR NOT NULL,
    "old" VARCHAR,
    "new" VARCHAR,
    "why" VARCHAR NOT NULL,
    PRIMARY KEY ("trial", "place")
);

-- The last verdict of each trial, so that a listing need not compute; gone with every write to its trial.
CREATE TABLE verdicts (
    "trial" VARCHAR NOT NULL,
    "version" VARCHAR NOT NULL,
    "code" VARCHAR NOT NULL,
    "sentence" VARCHAR NOT NULL,
    "last_word" VARCHAR,
    PRIMARY KEY ("trial")
);
