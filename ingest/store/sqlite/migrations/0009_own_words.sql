-- Categories of cases in a practice's own words, where the vocabulary has none.

ALTER TABLE cases ADD COLUMN own_age_band TEXT CHECK (length(own_age_band) BETWEEN 1 AND 24);
ALTER TABLE cases ADD COLUMN own_wear TEXT CHECK (length(own_wear) BETWEEN 1 AND 24);
ALTER TABLE cases ADD COLUMN own_status TEXT CHECK (length(own_status) BETWEEN 1 AND 24);
