-- What shows that two halves, two weighings or two waters were not alike, and gold that may carry mercury.

ALTER TABLE runs ADD COLUMN "silvery" BOOLEAN;
ALTER TABLE runs ADD COLUMN "cloud" BIGINT;
ALTER TABLE runs ADD COLUMN "clay" BIGINT;
ALTER TABLE runs ADD COLUMN "moisture_percent" DOUBLE;
ALTER TABLE runs ADD COLUMN "blank_pan" BIGINT;
ALTER TABLE runs ADD COLUMN "check_before_g" DOUBLE;
ALTER TABLE runs ADD COLUMN "check_after_g" DOUBLE;
