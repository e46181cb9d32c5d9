-- A case is known by its practice and its pseudonym: two practices may use the
-- same pseudonyms. '' is the practice without a name.
--
-- Until now a second practice overwrote the first. Two practices named for one
-- pseudonym by the lists of cases of two files are told apart only where the
-- records prove it: where the second overwrote movements of the first and not one
-- of their plans is the same. Then each record goes to the practice that its file
-- names, and what was overwritten comes back from the history. Elsewhere the
-- practice may just have been written in another way: the records stay together,
-- with the practice of the current record, and the case is listed in unsettled.

CREATE TEMP TABLE named AS
  SELECT file_id, case_id, practice FROM cases WHERE practice IS NOT NULL
  UNION SELECT file_id, case_id, json_extract(value, '$.practice') FROM history
    WHERE kind = 'case' AND json_extract(value, '$.practice') IS NOT NULL;

CREATE TEMP TABLE home AS
  SELECT n.case_id, count(DISTINCT n.practice) AS practices,
    CASE count(DISTINCT n.practice) WHEN 1 THEN min(n.practice)
      ELSE coalesce((SELECT c.practice FROM cases c WHERE c.case_id = n.case_id), min(n.practice)) END AS practice
  FROM named n GROUP BY n.case_id;

CREATE TEMP TABLE overwritten AS
  SELECT h.case_id, json_extract(h.value, '$.planned') AS old,
    coalesce(
      (SELECT json_extract(n.value, '$.planned') FROM history n WHERE n.kind = 'movement' AND n.case_id = h.case_id
        AND n.file_id = h.replaced_by AND n.id > h.id AND json_extract(n.value, '$.course') = json_extract(h.value, '$.course')
        AND json_extract(n.value, '$.tooth') = json_extract(h.value, '$.tooth')
        AND json_extract(n.value, '$.axis') = json_extract(h.value, '$.axis') ORDER BY n.id LIMIT 1),
      (SELECT m.planned FROM movements m WHERE m.case_id = h.case_id AND m.file_id = h.replaced_by
        AND m.course = json_extract(h.value, '$.course') AND m.tooth = json_extract(h.value, '$.tooth')
        AND m.axis = json_extract(h.value, '$.axis'))) AS new
  FROM history h
    JOIN named a ON a.file_id = h.file_id AND a.case_id = h.case_id
    JOIN named b ON b.file_id = h.replaced_by AND b.case_id = h.case_id
  WHERE h.kind = 'movement' AND a.practice <> b.practice;

CREATE TEMP TABLE apart AS
  SELECT case_id FROM overwritten GROUP BY case_id HAVING sum(new IS NULL OR old = new) = 0;

-- Cases that several practices were named for and that could not be told apart.
CREATE TABLE unsettled (
  case_id    TEXT NOT NULL PRIMARY KEY,
  practices  TEXT NOT NULL
) STRICT, WITHOUT ROWID;
INSERT INTO unsettled SELECT n.case_id, group_concat(DISTINCT n.practice) FROM named n
  WHERE n.case_id IN (SELECT case_id FROM home WHERE practices > 1) AND n.case_id NOT IN (SELECT case_id FROM apart)
  GROUP BY n.case_id;

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
  SELECT o.case_id, coalesce(
    (SELECT n.practice FROM named n WHERE n.case_id = o.case_id AND n.file_id = o.file_id
      AND n.case_id IN (SELECT case_id FROM apart)),
    (SELECT h.practice FROM home h WHERE h.case_id = o.case_id), ''),
    clinician, age_band, start_month, end_month, status, planned_aligners, change_days, wear, stated_refinements, file_id, sheet, row, layout_id, original FROM old_cases o;

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
  SELECT o.case_id, coalesce(
    (SELECT n.practice FROM named n WHERE n.case_id = o.case_id AND n.file_id = o.file_id
      AND n.case_id IN (SELECT case_id FROM apart)),
    (SELECT h.practice FROM home h WHERE h.case_id = o.case_id), ''),
    course, start_month, aligners_planned, aligners_used, file_id, sheet, row, layout_id, original FROM old_courses o;

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
  SELECT o.case_id, coalesce(
    (SELECT n.practice FROM named n WHERE n.case_id = o.case_id AND n.file_id = o.file_id
      AND n.case_id IN (SELECT case_id FROM apart)),
    (SELECT h.practice FROM home h WHERE h.case_id = o.case_id), ''),
    course, tooth, axis, unit, planned, achieved, stated_percent, size_only, style, shape, orientation, size_mm, lost, lost_month, staging, file_id, sheet, row, layout_id, original FROM old_movements o;

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
  SELECT o.case_id, coalesce(
    (SELECT n.practice FROM named n WHERE n.case_id = o.case_id AND n.file_id = o.file_id
      AND n.case_id IN (SELECT case_id FROM apart)),
    (SELECT h.practice FROM home h WHERE h.case_id = o.case_id), ''),
    course, tooth, axis, unit, first, second, file_id, sheet, row, layout_id, original FROM old_repeats o;

DROP TABLE old_cases;
DROP TABLE old_courses;
DROP TABLE old_movements;
DROP TABLE old_repeats;

ALTER TABLE history ADD COLUMN practice TEXT NOT NULL DEFAULT '';
UPDATE history SET practice = coalesce(
    (SELECT n.practice FROM named n WHERE n.case_id = history.case_id AND n.file_id = history.file_id
      AND n.case_id IN (SELECT case_id FROM apart)),
    (SELECT h.practice FROM home h WHERE h.case_id = history.case_id), '');
DROP INDEX history_by_case;
CREATE INDEX history_by_case ON history (case_id, practice);

-- The newest version of each record that nothing current stands for any more.
CREATE TEMP TABLE restored AS
  SELECT max(h.id) AS id FROM history h WHERE h.case_id IN (SELECT case_id FROM apart) AND CASE h.kind
    WHEN 'case' THEN NOT EXISTS (SELECT 1 FROM cases c WHERE c.case_id = h.case_id AND c.practice = h.practice)
    WHEN 'course' THEN NOT EXISTS (SELECT 1 FROM courses c WHERE c.case_id = h.case_id AND c.practice = h.practice
      AND c.course = json_extract(h.value, '$.course'))
    WHEN 'movement' THEN NOT EXISTS (SELECT 1 FROM movements m WHERE m.case_id = h.case_id AND m.practice = h.practice
      AND m.course = json_extract(h.value, '$.course') AND m.tooth = json_extract(h.value, '$.tooth') AND m.axis = json_extract(h.value, '$.axis'))
    ELSE NOT EXISTS (SELECT 1 FROM repeats m WHERE m.case_id = h.case_id AND m.practice = h.practice
      AND m.course = json_extract(h.value, '$.course') AND m.tooth = json_extract(h.value, '$.tooth') AND m.axis = json_extract(h.value, '$.axis')) END
  GROUP BY h.kind, h.case_id, h.practice, json_extract(h.value, '$.course'), json_extract(h.value, '$.tooth'), json_extract(h.value, '$.axis');
INSERT INTO cases (case_id, practice, clinician, age_band, start_month, end_month, status, planned_aligners, change_days, wear, stated_refinements, file_id, sheet, row, layout_id, original)
  SELECT h.case_id, h.practice, json_extract(h.value, '$.clinician'), json_extract(h.value, '$.age_band'), json_extract(h.value, '$.start_month'), json_extract(h.value, '$.end_month'), json_extract(h.value, '$.status'), json_extract(h.value, '$.planned_aligners'), json_extract(h.value, '$.change_days'), json_extract(h.value, '$.wear'), json_extract(h.value, '$.stated_refinements'), h.file_id, h.sheet, h.row, h.layout_id, h.original
    FROM history h JOIN restored r ON r.id = h.id WHERE h.kind = 'case';
INSERT INTO courses (case_id, practice, course, start_month, aligners_planned, aligners_used, file_id, sheet, row, layout_id, original)
  SELECT h.case_id, h.practice, json_extract(h.value, '$.course'), json_extract(h.value, '$.start_month'), json_extract(h.value, '$.aligners_planned'), json_extract(h.value, '$.aligners_used'), h.file_id, h.sheet, h.row, h.layout_id, h.original
    FROM history h JOIN restored r ON r.id = h.id WHERE h.kind = 'course';
INSERT INTO movements (case_id, practice, course, tooth, axis, unit, planned, achieved, stated_percent, size_only, style, shape, orientation, size_mm, lost, lost_month, staging, file_id, sheet, row, layout_id, original)
  SELECT h.case_id, h.practice, json_extract(h.value, '$.course'), json_extract(h.value, '$.tooth'), json_extract(h.value, '$.axis'), json_extract(h.value, '$.unit'), json_extract(h.value, '$.planned'), json_extract(h.value, '$.achieved'), json_extract(h.value, '$.stated_percent'), json_extract(h.value, '$.size_only'), json_extract(h.value, '$.style'), json_extract(h.value, '$.shape'), json_extract(h.value, '$.orientation'), json_extract(h.value, '$.size_mm'), json_extract(h.value, '$.lost'), json_extract(h.value, '$.lost_month'), json_extract(h.value, '$.staging'), h.file_id, h.sheet, h.row, h.layout_id, h.original
    FROM history h JOIN restored r ON r.id = h.id WHERE h.kind = 'movement';
INSERT INTO repeats (case_id, practice, course, tooth, axis, unit, first, second, file_id, sheet, row, layout_id, original)
  SELECT h.case_id, h.practice, json_extract(h.value, '$.course'), json_extract(h.value, '$.tooth'), json_extract(h.value, '$.axis'), json_extract(h.value, '$.unit'), json_extract(h.value, '$.first'), json_extract(h.value, '$.second'), h.file_id, h.sheet, h.row, h.layout_id, h.original
    FROM history h JOIN restored r ON r.id = h.id WHERE h.kind = 'repeat';
DELETE FROM history WHERE id IN (SELECT id FROM restored);

DROP TABLE restored;
DROP TABLE apart;
DROP TABLE overwritten;
DROP TABLE home;
DROP TABLE named;
