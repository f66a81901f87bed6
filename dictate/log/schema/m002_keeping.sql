-- Treatment courses told in full, photos by name, and pens over time.

ALTER TABLE treatment_course ADD COLUMN how_used TEXT NOT NULL DEFAULT 'not said'
    CHECK (how_used IN ('label', 'off-label', 'not said'));
ALTER TABLE treatment_course ADD COLUMN vet_egg_days INTEGER;
ALTER TABLE treatment_course ADD COLUMN vet_meat_days INTEGER;

ALTER TABLE photo ADD COLUMN name TEXT NOT NULL DEFAULT '';
CREATE INDEX photo_sha256 ON photo(sha256);

-- Where a bird lived before she moved; pen_id is where she moved to.
ALTER TABLE bird_event ADD COLUMN from_pen_id INTEGER REFERENCES pen(id);
