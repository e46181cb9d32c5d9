-- The current records of a practice and the files they came from.
--
-- Words are stored as the words themselves, so that the file can be read
-- without this program. A missing value is NULL and never zero. A course, a
-- movement or a repeat may arrive before its case, in another file than the
-- case log, so nothing references the cases table; a case that the log lacks
-- is reported by the checks, not refused here.
--
-- Words are checked by OR, not by IN: SQLite builds a table for every IN of
-- more than two words at every row, which doubles the time of an import and
-- quadruples that of the check for damage.

CREATE TABLE files (
  id        INTEGER PRIMARY KEY,
  name      TEXT    NOT NULL,
  sha256    TEXT    NOT NULL UNIQUE CHECK (length(sha256) = 64 AND sha256 NOT GLOB '*[^0-9a-f]*'),
  size      INTEGER NOT NULL CHECK (size >= 0),
  invented  INTEGER NOT NULL CHECK (invented IN (0, 1))
) STRICT;

-- Row counts of each sheet. They must reconcile.
CREATE TABLE sheets (
  file_id   INTEGER NOT NULL REFERENCES files (id) ON DELETE RESTRICT,
  position  INTEGER NOT NULL CHECK (position >= 0),
  name      TEXT    NOT NULL,
  kind      TEXT    CHECK (kind = 'case' OR kind = 'course' OR kind = 'movement' OR kind = 'repeat'),
  read      INTEGER NOT NULL CHECK (read >= 0),
  accepted  INTEGER NOT NULL CHECK (accepted >= 0),
  rejected  INTEGER NOT NULL CHECK (rejected >= 0),
  blank     INTEGER NOT NULL CHECK (blank >= 0),
  PRIMARY KEY (file_id, position),
  CHECK (read = accepted + rejected + blank)
) STRICT, WITHOUT ROWID;

-- Where the cells of an original row stood and what their headers said: a JSON
-- array of [place, header]. A place is a column ("C") where the cell stands in
-- the record's own row, else a whole reference ("B1").
CREATE TABLE layouts (
  id        INTEGER PRIMARY KEY,
  file_id   INTEGER NOT NULL REFERENCES files (id) ON DELETE RESTRICT,
  cells     TEXT    NOT NULL CHECK (json_valid(cells)),
  UNIQUE (file_id, cells)
) STRICT;

-- In the four record tables, original is a JSON array: the texts of the cells
-- of the layout, in order.

CREATE TABLE cases (
  case_id             TEXT    NOT NULL CHECK (case_id <> ''),
  practice            TEXT    CHECK (practice <> ''),
  clinician           TEXT    CHECK (clinician <> ''),
  age_band            TEXT    CHECK (age_band = 'under 12' OR age_band = '12-17' OR age_band = '18-29' OR
                             age_band = '30-44' OR age_band = '45-59' OR age_band = '60 and over'),
  start_month         TEXT    CHECK (start_month GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]'),
  end_month           TEXT    CHECK (end_month GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]'),
  status              TEXT    CHECK (status = 'completed' OR status = 'discontinued' OR status = 'transferred' OR
                             status = 'switched to another appliance' OR status = 'under treatment'),
  planned_aligners    INTEGER CHECK (planned_aligners >= 0),
  change_days         INTEGER CHECK (change_days >= 0),
  wear                TEXT    CHECK (wear = 'good' OR wear = 'fair' OR wear = 'poor'),
  stated_refinements  INTEGER CHECK (stated_refinements >= 0),
  file_id             INTEGER NOT NULL REFERENCES files (id) ON DELETE RESTRICT,
  sheet               TEXT    NOT NULL,
  row                 INTEGER NOT NULL CHECK (row >= 0),
  layout_id           INTEGER NOT NULL REFERENCES layouts (id) ON DELETE RESTRICT,
  original            TEXT    NOT NULL,
  PRIMARY KEY (case_id)
) STRICT, WITHOUT ROWID;

CREATE TABLE courses (
  case_id           TEXT    NOT NULL CHECK (case_id <> ''),
  course            INTEGER NOT NULL CHECK (course >= 1),
  start_month       TEXT    CHECK (start_month GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]'),
  aligners_planned  INTEGER CHECK (aligners_planned >= 0),
  aligners_used     INTEGER CHECK (aligners_used >= 0),
  file_id           INTEGER NOT NULL REFERENCES files (id) ON DELETE RESTRICT,
  sheet             TEXT    NOT NULL,
  row               INTEGER NOT NULL CHECK (row >= 0),
  layout_id         INTEGER NOT NULL REFERENCES layouts (id) ON DELETE RESTRICT,
  original          TEXT    NOT NULL,
  PRIMARY KEY (case_id, course)
) STRICT, WITHOUT ROWID;

CREATE TABLE movements (
  case_id         TEXT    NOT NULL CHECK (case_id <> ''),
  course          INTEGER NOT NULL CHECK (course >= 1),
  -- FDI two-digit notation, ISO 3950: quadrant 1-4, position 1-8.
  tooth           INTEGER NOT NULL CHECK (tooth / 10 BETWEEN 1 AND 4 AND tooth % 10 BETWEEN 1 AND 8),
  axis            TEXT    NOT NULL,
  unit            TEXT    NOT NULL,
  planned         REAL    NOT NULL,
  achieved        REAL,
  stated_percent  REAL,
  size_only       INTEGER NOT NULL CHECK (size_only IN (0, 1)),
  style           TEXT    CHECK (style = 'none' OR style = 'software-suggested' OR style = 'clinician-designed'),
  shape           TEXT    CHECK (shape = 'rectangular' OR shape = 'bevelled' OR shape = 'ellipsoid' OR
                         shape = 'hemisphere' OR shape = 'other'),
  orientation     TEXT    CHECK (orientation = 'vertical' OR orientation = 'horizontal' OR orientation = 'oblique'),
  size_mm         REAL    CHECK (size_mm >= 0),
  lost            INTEGER CHECK (lost IN (0, 1)),
  lost_month      INTEGER CHECK (lost_month >= 0),
  staging         TEXT    CHECK (staging = 'combined' OR staging = 'sequenced'),
  file_id         INTEGER NOT NULL REFERENCES files (id) ON DELETE RESTRICT,
  sheet           TEXT    NOT NULL,
  row             INTEGER NOT NULL CHECK (row >= 0),
  layout_id       INTEGER NOT NULL REFERENCES layouts (id) ON DELETE RESTRICT,
  original        TEXT    NOT NULL,
  PRIMARY KEY (case_id, course, tooth, axis),
  CHECK (CASE unit
           WHEN 'mm' THEN axis = 'vertical' OR axis = 'mesiodistal shift' OR axis = 'buccolingual shift'
           WHEN 'deg' THEN axis = 'rotation' OR axis = 'mesiodistal tip' OR axis = 'buccolingual torque'
           ELSE 0 END)
) STRICT, WITHOUT ROWID;

CREATE TABLE repeats (
  case_id    TEXT    NOT NULL CHECK (case_id <> ''),
  course     INTEGER NOT NULL CHECK (course >= 1),
  tooth      INTEGER NOT NULL CHECK (tooth / 10 BETWEEN 1 AND 4 AND tooth % 10 BETWEEN 1 AND 8),
  axis       TEXT    NOT NULL,
  unit       TEXT    NOT NULL,
  first      REAL    NOT NULL,
  second     REAL    NOT NULL,
  file_id    INTEGER NOT NULL REFERENCES files (id) ON DELETE RESTRICT,
  sheet      TEXT    NOT NULL,
  row        INTEGER NOT NULL CHECK (row >= 0),
  layout_id  INTEGER NOT NULL REFERENCES layouts (id) ON DELETE RESTRICT,
  original   TEXT    NOT NULL,
  PRIMARY KEY (case_id, course, tooth, axis),
  CHECK (CASE unit
           WHEN 'mm' THEN axis = 'vertical' OR axis = 'mesiodistal shift' OR axis = 'buccolingual shift'
           WHEN 'deg' THEN axis = 'rotation' OR axis = 'mesiodistal tip' OR axis = 'buccolingual torque'
           ELSE 0 END)
) STRICT, WITHOUT ROWID;
