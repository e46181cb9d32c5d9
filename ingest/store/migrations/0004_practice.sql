-- A case is known by its practice and its pseudonym: two practices may use the
-- same pseudonyms. '' is the practice without a name.
--
-- Which practice an old record belongs to is told by the case row of the file
-- it came from, else by the current row of the case.

CREATE TEMP TABLE named AS
  SELECT file_id, case_id, practice FROM cases WHERE practice IS NOT NULL
  UNION SELECT file_id, case_id, json_extract(value, '$.practice') FROM history
    WHERE kind = 'case' AND json_extract(value, '$.practice') IS NOT NULL;

ALTER TABLE cases RENAME TO old_cases;

CREATE TABLE cases (
  case_id             TEXT    NOT NULL CHECK (case_id <> ''),
  practice            TEXT    NOT NULL,
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
  PRIMARY KEY (case_id, practice)
) STRICT, WITHOUT ROWID;

INSERT INTO cases (case_id, practice, clinician, age_band, start_month, end_month, status, planned_aligners, change_days, wear, stated_refinements, file_id, sheet, row, layout_id, original)
  SELECT case_id, coalesce(practice, ''),
    clinician, age_band, start_month, end_month, status, planned_aligners, change_days, wear, stated_refinements, file_id, sheet, row, layout_id, original FROM old_cases o;
DROP TABLE old_cases;

ALTER TABLE courses RENAME TO old_courses;

CREATE TABLE courses (
  case_id           TEXT    NOT NULL CHECK (case_id <> ''),
  practice          TEXT    NOT NULL,
  course            INTEGER NOT NULL CHECK (course >= 1),
  start_month       TEXT    CHECK (start_month GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]'),
  aligners_planned  INTEGER CHECK (aligners_planned >= 0),
  aligners_used     INTEGER CHECK (aligners_used >= 0),
  file_id           INTEGER NOT NULL REFERENCES files (id) ON DELETE RESTRICT,
  sheet             TEXT    NOT NULL,
  row               INTEGER NOT NULL CHECK (row >= 0),
  layout_id         INTEGER NOT NULL REFERENCES layouts (id) ON DELETE RESTRICT,
  original          TEXT    NOT NULL,
  PRIMARY KEY (case_id, practice, course)
) STRICT, WITHOUT ROWID;

INSERT INTO courses (case_id, practice, course, start_month, aligners_planned, aligners_used, file_id, sheet, row, layout_id, original)
  SELECT case_id, coalesce((SELECT min(n.practice) FROM named n WHERE n.case_id = o.case_id AND n.file_id = o.file_id),
    (SELECT c.practice FROM cases c WHERE c.case_id = o.case_id), ''),
    course, start_month, aligners_planned, aligners_used, file_id, sheet, row, layout_id, original FROM old_courses o;
DROP TABLE old_courses;

ALTER TABLE movements RENAME TO old_movements;

CREATE TABLE movements (
  case_id         TEXT    NOT NULL CHECK (case_id <> ''),
  practice        TEXT    NOT NULL,
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
  PRIMARY KEY (case_id, practice, course, tooth, axis),
  CHECK (CASE unit
           WHEN 'mm' THEN axis = 'vertical' OR axis = 'mesiodistal shift' OR axis = 'buccolingual shift'
           WHEN 'deg' THEN axis = 'rotation' OR axis = 'mesiodistal tip' OR axis = 'buccolingual torque'
           ELSE 0 END)
) STRICT, WITHOUT ROWID;

INSERT INTO movements (case_id, practice, course, tooth, axis, unit, planned, achieved, stated_percent, size_only, style, shape, orientation, size_mm, lost, lost_month, staging, file_id, sheet, row, layout_id, original)
  SELECT case_id, coalesce((SELECT min(n.practice) FROM named n WHERE n.case_id = o.case_id AND n.file_id = o.file_id),
    (SELECT c.practice FROM cases c WHERE c.case_id = o.case_id), ''),
    course, tooth, axis, unit, planned, achieved, stated_percent, size_only, style, shape, orientation, size_mm, lost, lost_month, staging, file_id, sheet, row, layout_id, original FROM old_movements o;
DROP TABLE old_movements;

ALTER TABLE repeats RENAME TO old_repeats;

CREATE TABLE repeats (
  case_id    TEXT    NOT NULL CHECK (case_id <> ''),
  practice   TEXT    NOT NULL,
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
  PRIMARY KEY (case_id, practice, course, tooth, axis),
  CHECK (CASE unit
           WHEN 'mm' THEN axis = 'vertical' OR axis = 'mesiodistal shift' OR axis = 'buccolingual shift'
           WHEN 'deg' THEN axis = 'rotation' OR axis = 'mesiodistal tip' OR axis = 'buccolingual torque'
           ELSE 0 END)
) STRICT, WITHOUT ROWID;

INSERT INTO repeats (case_id, practice, course, tooth, axis, unit, first, second, file_id, sheet, row, layout_id, original)
  SELECT case_id, coalesce((SELECT min(n.practice) FROM named n WHERE n.case_id = o.case_id AND n.file_id = o.file_id),
    (SELECT c.practice FROM cases c WHERE c.case_id = o.case_id), ''),
    course, tooth, axis, unit, first, second, file_id, sheet, row, layout_id, original FROM old_repeats o;
DROP TABLE old_repeats;

ALTER TABLE history ADD COLUMN practice TEXT NOT NULL DEFAULT '';
UPDATE history SET practice = coalesce(json_extract(value, '$.practice'),
  (SELECT min(n.practice) FROM named n WHERE n.case_id = history.case_id AND n.file_id = history.file_id),
  (SELECT c.practice FROM cases c WHERE c.case_id = history.case_id), '');
DROP INDEX history_by_case;
CREATE INDEX history_by_case ON history (case_id, practice);
DROP TABLE named;
