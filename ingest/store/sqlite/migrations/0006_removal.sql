-- Foreign keys are off while this runs: files is made anew.
--
-- The same bytes may be read again in another way; an import can be undone; a
-- version of a record may leave the current ones in several ways.

CREATE TABLE new_files (
  id        INTEGER PRIMARY KEY,
  name      TEXT    NOT NULL,
  sha256    TEXT    NOT NULL CHECK (length(sha256) = 64 AND sha256 NOT GLOB '*[^0-9a-f]*'),
  size      INTEGER NOT NULL CHECK (size >= 0),
  invented  INTEGER NOT NULL CHECK (invented IN (0, 1)),
  -- A hash of what was declared about the file, '' where nothing was.
  reading   TEXT    NOT NULL,
  -- Why its import was undone; NULL where it stands.
  removed   TEXT
) STRICT;
INSERT INTO new_files SELECT id, name, sha256, size, invented, '', NULL FROM files;
DROP TABLE files;
ALTER TABLE new_files RENAME TO files;
CREATE INDEX files_by_content ON files (sha256);

CREATE TABLE new_history (
  id           INTEGER PRIMARY KEY,
  kind         TEXT    NOT NULL CHECK (kind = 'case' OR kind = 'course' OR kind = 'movement' OR kind = 'repeat'),
  case_id      TEXT    NOT NULL,
  practice     TEXT    NOT NULL,
  value        TEXT    NOT NULL CHECK (json_valid(value)),
  file_id      INTEGER NOT NULL REFERENCES files (id) ON DELETE RESTRICT,
  sheet        TEXT    NOT NULL,
  row          INTEGER NOT NULL,
  layout_id    INTEGER NOT NULL REFERENCES layouts (id) ON DELETE RESTRICT,
  original     TEXT    NOT NULL,
  -- corrected, or no longer given, by the file replaced_by; or its own file was removed.
  how          TEXT    NOT NULL CHECK (how = 'corrected' OR how = 'retired' OR how = 'removed'),
  replaced_by  INTEGER REFERENCES files (id) ON DELETE RESTRICT,
  CHECK ((how = 'removed') = (replaced_by IS NULL)),
  CHECK (replaced_by <> file_id)
) STRICT;
INSERT INTO new_history SELECT id, kind, case_id, practice, value, file_id, sheet, row, layout_id, original, 'corrected', replaced_by FROM history;
DROP TABLE history;
ALTER TABLE new_history RENAME TO history;
CREATE INDEX history_by_case ON history (case_id, practice);

ALTER TABLE tallies ADD COLUMN retired INTEGER NOT NULL DEFAULT 0 CHECK (retired >= 0);

-- Cases taken out of the audit, now and in later imports.
CREATE TABLE removed (
  case_id   TEXT NOT NULL,
  practice  TEXT NOT NULL,
  reason    TEXT NOT NULL,
  PRIMARY KEY (case_id, practice)
) STRICT, WITHOUT ROWID;

-- Cases of which nothing is kept: a hash of salt and pseudonym, by which later
-- imports leave them out.
CREATE TABLE erased (
  practice  TEXT NOT NULL,
  salt      TEXT NOT NULL,
  hash      TEXT NOT NULL,
  PRIMARY KEY (practice, salt, hash)
) STRICT, WITHOUT ROWID;

-- What was answered about the layout of sheets, by a hash of their header.
CREATE TABLE profiles (
  header   TEXT NOT NULL PRIMARY KEY,
  name     TEXT NOT NULL,
  content  BLOB NOT NULL
) STRICT, WITHOUT ROWID;
