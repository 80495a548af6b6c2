-- Which odd values of a run were looked at again and stand as they were typed.

ALTER TABLE runs ADD COLUMN "as_typed" VARCHAR;
