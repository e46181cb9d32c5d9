-- What was replaced, what was refused, and what each import did.

-- A version that a later file corrected. value is a JSON object of its columns.
CREATE TABLE history (
  id           INTEGER PRIMARY KEY,
  kind         TEXT    NOT NULL CHECK (kind = 'case' OR kind = 'course' OR kind = 'movement' OR kind = 'repeat'),
  case_id      TEXT    NOT NULL,
  value        TEXT    NOT NULL CHECK (json_valid(value)),
  file_id      INTEGER NOT NULL REFERENCES files (id) ON DELETE RESTRICT,
  sheet        TEXT    NOT NULL,
  row          INTEGER NOT NULL,
  layout_id    INTEGER NOT NULL REFERENCES layouts (id) ON DELETE RESTRICT,
  original     TEXT    NOT NULL,
  replaced_by  INTEGER NOT NULL REFERENCES files (id) ON DELETE RESTRICT,
  CHECK (replaced_by <> file_id)
) STRICT;

CREATE INDEX history_by_case ON history (case_id);

-- Rows that were read and not accepted. reasons is a JSON array of problems;
-- rule is the first of them.
CREATE TABLE rejected (
  id         INTEGER PRIMARY KEY,
  kind       TEXT    CHECK (kind = 'case' OR kind = 'course' OR kind = 'movement' OR kind = 'repeat'),
  rule       TEXT    NOT NULL,
  reasons    TEXT    NOT NULL CHECK (json_valid(reasons)),
  file_id    INTEGER NOT NULL REFERENCES files (id) ON DELETE RESTRICT,
  sheet      TEXT    NOT NULL,
  row        INTEGER NOT NULL CHECK (row >= 0),
  layout_id  INTEGER NOT NULL REFERENCES layouts (id) ON DELETE RESTRICT,
  original   TEXT    NOT NULL
) STRICT;

-- Every problem a file had, those of rejected rows included, as JSON.
CREATE TABLE problems (
  file_id   INTEGER NOT NULL REFERENCES files (id) ON DELETE RESTRICT,
  position  INTEGER NOT NULL CHECK (position >= 0),
  rule      TEXT    NOT NULL,
  severity  TEXT    NOT NULL CHECK (severity = 'info' OR severity = 'warning' OR severity = 'error'),
  problem   TEXT    NOT NULL CHECK (json_valid(problem)),
  PRIMARY KEY (file_id, position)
) STRICT, WITHOUT ROWID;

-- How the records of a file met those already here.
CREATE TABLE tallies (
  file_id     INTEGER NOT NULL REFERENCES files (id) ON DELETE RESTRICT,
  kind        TEXT    NOT NULL CHECK (kind = 'case' OR kind = 'course' OR kind = 'movement' OR kind = 'repeat'),
  fresh       INTEGER NOT NULL CHECK (fresh >= 0),
  unchanged   INTEGER NOT NULL CHECK (unchanged >= 0),
  superseded  INTEGER NOT NULL CHECK (superseded >= 0),
  PRIMARY KEY (file_id, kind)
) STRICT, WITHOUT ROWID;
