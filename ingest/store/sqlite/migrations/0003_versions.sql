-- How many of the records a file gave stood here already, by the file they came
-- from: a file that gives most of an earlier one again is its later version.

CREATE TABLE given_again (
  file_id    INTEGER NOT NULL REFERENCES files (id) ON DELETE RESTRICT,
  origin_id  INTEGER NOT NULL REFERENCES files (id) ON DELETE RESTRICT,
  records    INTEGER NOT NULL CHECK (records > 0),
  PRIMARY KEY (file_id, origin_id),
  CHECK (origin_id < file_id)
) STRICT, WITHOUT ROWID;
