-- What a plan was reckoned with, the tracers it seeds, trials set aside, place labels, and pictures by path and digest.
-- A check can't be added to a table that is there, so the table of plans is made anew and its rows are moved.

CREATE TABLE trials_now (
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
    "set_aside" VARCHAR,
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
    "grains_seeded" BIGINT CHECK ("grains_seeded" >= 0 AND "grains_seeded" <= 5000),
    "grains_size" VARCHAR,
    "scales_gold_g" DOUBLE CHECK ("scales_gold_g" >= 1e-05 AND "scales_gold_g" <= 100),
    "scales_sand_g" DOUBLE CHECK ("scales_sand_g" >= 1e-05 AND "scales_sand_g" <= 1000),
    "sizes_series" VARCHAR,
    "sizes_main" VARCHAR,
    "guess_gold_mg_kg" DOUBLE CHECK ("guess_gold_mg_kg" >= 0.001 AND "guess_gold_mg_kg" <= 1000000),
    "guess_sizes" VARCHAR,
    "guess_care" VARCHAR,
    "guess_keeps_percent" DOUBLE CHECK ("guess_keeps_percent" > 0 AND "guess_keeps_percent" < 100),
    "guess_scatter_points" DOUBLE CHECK ("guess_scatter_points" > 0 AND "guess_scatter_points" < 100),
    "guess_scatter_percent" DOUBLE CHECK ("guess_scatter_percent" > 0 AND "guess_scatter_percent" <= 1000),
    "guess_scatter_from" VARCHAR,
    "guess_run_minutes" DOUBLE CHECK ("guess_run_minutes" >= 0.2 AND "guess_run_minutes" <= 1440),
    "guess_cleanup_minutes" DOUBLE CHECK ("guess_cleanup_minutes" >= 0 AND "guess_cleanup_minutes" <= 1440),
    "guess_time_minutes" DOUBLE CHECK ("guess_time_minutes" >= 1 AND "guess_time_minutes" <= 100000),
    "typed" VARCHAR NOT NULL,
    PRIMARY KEY ("name")
);
INSERT INTO trials_now BY NAME SELECT * FROM trials;
DROP TABLE trials;
ALTER TABLE trials_now RENAME TO trials;

ALTER TABLE lots ADD COLUMN "place_label" VARCHAR;

CREATE TABLE photos (
    "trial" VARCHAR NOT NULL,
    "place" BIGINT NOT NULL,
    "path" VARCHAR NOT NULL,
    "what" VARCHAR NOT NULL,
    "tag" VARCHAR,
    "sha256" VARCHAR NOT NULL,
    PRIMARY KEY ("trial", "place")
);
