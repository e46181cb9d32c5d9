-- The share of the server "one" in a fleet of 3: 2 of 5 partitions.
-- What its operator runs once, as superuser, in a database made for it:
--
--   createdb share
--   SHORTFALL_SHARD_PASSWORD=... psql -X -d share -f shard-one.sql
--
-- The password is that by which the coordinator connects, as the role shortfall_shard,
-- which may read and change these rows and nothing else. pg_hba.conf should let in that
-- role from the coordinator's address alone, encrypted, by password:
--
--   hostssl share shortfall_shard ADDRESS scram-sha-256
--
-- Values of records reach this server in statements and as their arguments; of that role
-- none is logged, whatever is of others.

\set ON_ERROR_STOP on
\getenv password SHORTFALL_SHARD_PASSWORD
\if :{?password}
\else
DO $$ BEGIN RAISE EXCEPTION 'SHORTFALL_SHARD_PASSWORD is not set'; END $$;
\endif

BEGIN;
SET LOCAL log_statement = 'none'; -- the password
SET LOCAL log_min_error_statement = 'panic';
SELECT format('CREATE ROLE shortfall_shard LOGIN PASSWORD %L', :'password')
  WHERE NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'shortfall_shard') \gexec
ALTER ROLE shortfall_shard SET log_statement = 'none';
ALTER ROLE shortfall_shard SET log_min_duration_statement = -1;
ALTER ROLE shortfall_shard SET log_min_error_statement = 'panic';
ALTER ROLE shortfall_shard SET log_error_verbosity = 'terse';
CREATE SCHEMA olderfleet;
SET LOCAL search_path = olderfleet;

-- The tables of a single server, after which those of the partitions are made.
-- The records of a group of practices: what migrations/ of store/sqlite reach, in
-- PostgreSQL's words. A missing value is NULL and never zero. Texts compare by their
-- bytes (COLLATE "C"), so that every server gives the same order. A course, a movement
-- or a repeat may arrive before its case, so nothing references cases.

CREATE TABLE version (number INTEGER NOT NULL);
INSERT INTO version VALUES (1);

CREATE TABLE files (
  id        BIGINT  GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  name      TEXT    NOT NULL,
  sha256    TEXT    COLLATE "C" NOT NULL CHECK (sha256 ~ '^[0-9a-f]{64}$'),
  size      BIGINT  NOT NULL CHECK (size >= 0),
  invented  INTEGER NOT NULL CHECK (invented IN (0, 1)),
  -- A hash of what was declared about the file, '' where nothing was.
  reading   TEXT    NOT NULL,
  -- Why its import was undone; NULL where it stands.
  removed   TEXT,
  -- The role that imported it; see roles.sql.
  given_by  NAME    NOT NULL DEFAULT current_user
);
CREATE INDEX files_by_content ON files (sha256);

-- Row counts of each sheet. They must reconcile.
CREATE TABLE sheets (
  file_id   BIGINT  NOT NULL REFERENCES files ON DELETE RESTRICT,
  position  INTEGER NOT NULL CHECK (position >= 0),
  name      TEXT    NOT NULL,
  kind      TEXT    CHECK (kind IN ('case', 'course', 'movement', 'repeat')),
  read      INTEGER NOT NULL CHECK (read >= 0),
  accepted  INTEGER NOT NULL CHECK (accepted >= 0),
  rejected  INTEGER NOT NULL CHECK (rejected >= 0),
  blank     INTEGER NOT NULL CHECK (blank >= 0),
  PRIMARY KEY (file_id, position),
  CHECK (read = accepted + rejected + blank)
);

-- Where the cells of an original row stood and what they are: a JSON array of
-- [place, header], as in store/sqlite. Longer than a line of an index may be.
CREATE TABLE layouts (
  id        BIGINT  GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  file_id   BIGINT  NOT NULL REFERENCES files ON DELETE RESTRICT,
  cells     TEXT    NOT NULL
);
CREATE UNIQUE INDEX layouts_once ON layouts (file_id, md5(cells));

CREATE TABLE cases (
  case_id             TEXT    COLLATE "C" NOT NULL CHECK (case_id <> ''),
  practice            TEXT    COLLATE "C" NOT NULL,
  clinician           TEXT    CHECK (clinician <> ''),
  age_band            TEXT    CHECK (age_band IN ('under 12', '12-17', '18-29', '30-44', '45-59', '60 and over')),
  start_month         TEXT    CHECK (start_month ~ '^[0-9]{4}-[01][0-9]$'),
  end_month           TEXT    CHECK (end_month ~ '^[0-9]{4}-[01][0-9]$'),
  status              TEXT    CHECK (status IN ('completed', 'discontinued', 'transferred', 'switched to another appliance', 'under treatment')),
  planned_aligners    INTEGER CHECK (planned_aligners >= 0),
  change_days         INTEGER CHECK (change_days >= 0),
  wear                TEXT    CHECK (wear IN ('good', 'fair', 'poor')),
  wear_recorded       TEXT    CHECK (wear_recorded IN ('before', 'after')),
  own_age_band        TEXT    CHECK (length(own_age_band) BETWEEN 1 AND 24),
  own_wear            TEXT    CHECK (length(own_wear) BETWEEN 1 AND 24),
  own_status          TEXT    CHECK (length(own_status) BETWEEN 1 AND 24),
  stated_refinements  INTEGER CHECK (stated_refinements >= 0),
  file_id             BIGINT  NOT NULL REFERENCES files ON DELETE RESTRICT,
  sheet               TEXT    NOT NULL,
  row                 INTEGER NOT NULL CHECK (row >= 0),
  layout_id           BIGINT  NOT NULL REFERENCES layouts ON DELETE RESTRICT,
  original            TEXT    NOT NULL,
  PRIMARY KEY (case_id, practice)
);

CREATE TABLE courses (
  case_id           TEXT    COLLATE "C" NOT NULL CHECK (case_id <> ''),
  practice          TEXT    COLLATE "C" NOT NULL,
  course            INTEGER NOT NULL CHECK (course >= 1),
  start_month       TEXT    CHECK (start_month ~ '^[0-9]{4}-[01][0-9]$'),
  aligners_planned  INTEGER CHECK (aligners_planned >= 0),
  aligners_used     INTEGER CHECK (aligners_used >= 0),
  measured_by       TEXT    CHECK (measured_by IN ('superimposed scans', 'next plan''s start', 'models', 'other')),
  file_id           BIGINT  NOT NULL REFERENCES files ON DELETE RESTRICT,
  sheet             TEXT    NOT NULL,
  row               INTEGER NOT NULL CHECK (row >= 0),
  layout_id         BIGINT  NOT NULL REFERENCES layouts ON DELETE RESTRICT,
  original          TEXT    NOT NULL,
  PRIMARY KEY (case_id, practice, course)
);

CREATE TABLE movements (
  case_id         TEXT    COLLATE "C" NOT NULL CHECK (case_id <> ''),
  practice        TEXT    COLLATE "C" NOT NULL,
  course          INTEGER NOT NULL CHECK (course >= 1),
  -- FDI two-digit notation, ISO 3950: quadrant 1-4, position 1-8.
  tooth           INTEGER NOT NULL CHECK (tooth / 10 BETWEEN 1 AND 4 AND tooth % 10 BETWEEN 1 AND 8),
  axis            TEXT    COLLATE "C" NOT NULL,
  unit            TEXT    NOT NULL,
  planned         DOUBLE PRECISION NOT NULL,
  achieved        DOUBLE PRECISION,
  stated_percent  DOUBLE PRECISION,
  size_only       INTEGER NOT NULL CHECK (size_only IN (0, 1)),
  style           TEXT    CHECK (style IN ('none', 'software-suggested', 'clinician-designed')),
  shape           TEXT    CHECK (shape IN ('block', 'wedge', 'oval', 'dome', 'pair', 'other')),
  orientation     TEXT    CHECK (orientation IN ('vertical', 'horizontal', 'oblique')),
  size_mm         DOUBLE PRECISION CHECK (size_mm >= 0),
  lost            INTEGER CHECK (lost IN (0, 1)),
  lost_month      INTEGER CHECK (lost_month >= 0),
  staging         TEXT    CHECK (staging IN ('combined', 'sequenced')),
  measured_by     TEXT    CHECK (measured_by IN ('superimposed scans', 'next plan''s start', 'models', 'other')),
  file_id         BIGINT  NOT NULL REFERENCES files ON DELETE RESTRICT,
  sheet           TEXT    NOT NULL,
  row             INTEGER NOT NULL CHECK (row >= 0),
  layout_id       BIGINT  NOT NULL REFERENCES layouts ON DELETE RESTRICT,
  original        TEXT    NOT NULL,
  PRIMARY KEY (case_id, practice, course, tooth, axis),
  CHECK (CASE unit
           WHEN 'mm' THEN axis IN ('vertical', 'mesiodistal shift', 'buccolingual shift')
           WHEN 'deg' THEN axis IN ('rotation', 'mesiodistal tip', 'buccolingual torque')
           ELSE false END)
);

CREATE TABLE repeats (
  case_id    TEXT    COLLATE "C" NOT NULL CHECK (case_id <> ''),
  practice   TEXT    COLLATE "C" NOT NULL,
  course     INTEGER NOT NULL CHECK (course >= 1),
  tooth      INTEGER NOT NULL CHECK (tooth / 10 BETWEEN 1 AND 4 AND tooth % 10 BETWEEN 1 AND 8),
  axis       TEXT    COLLATE "C" NOT NULL,
  unit       TEXT    NOT NULL,
  first      DOUBLE PRECISION NOT NULL,
  second     DOUBLE PRECISION NOT NULL,
  file_id    BIGINT  NOT NULL REFERENCES files ON DELETE RESTRICT,
  sheet      TEXT    NOT NULL,
  row        INTEGER NOT NULL CHECK (row >= 0),
  layout_id  BIGINT  NOT NULL REFERENCES layouts ON DELETE RESTRICT,
  original   TEXT    NOT NULL,
  PRIMARY KEY (case_id, practice, course, tooth, axis),
  CHECK (CASE unit
           WHEN 'mm' THEN axis IN ('vertical', 'mesiodistal shift', 'buccolingual shift')
           WHEN 'deg' THEN axis IN ('rotation', 'mesiodistal tip', 'buccolingual torque')
           ELSE false END)
);

-- Versions that are no longer current. value is a JSON object of the columns.
CREATE TABLE history (
  id           BIGINT  GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  kind         TEXT    NOT NULL CHECK (kind IN ('case', 'course', 'movement', 'repeat')),
  case_id      TEXT    COLLATE "C" NOT NULL,
  practice     TEXT    COLLATE "C" NOT NULL,
  value        TEXT    NOT NULL,
  file_id      BIGINT  NOT NULL REFERENCES files ON DELETE RESTRICT,
  sheet        TEXT    NOT NULL,
  row          INTEGER NOT NULL,
  layout_id    BIGINT  NOT NULL REFERENCES layouts ON DELETE RESTRICT,
  original     TEXT    NOT NULL,
  -- corrected, or no longer given, by the file replaced_by; or its own file was removed.
  how          TEXT    NOT NULL CHECK (how IN ('corrected', 'retired', 'removed')),
  replaced_by  BIGINT  REFERENCES files ON DELETE RESTRICT,
  CHECK ((how = 'removed') = (replaced_by IS NULL)),
  CHECK (replaced_by <> file_id)
);
CREATE INDEX history_by_case ON history (case_id, practice);

-- Rows that were read and not accepted. reasons is a JSON array of problems;
-- rule is the first of them.
CREATE TABLE rejected (
  id         BIGINT  GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  kind       TEXT    CHECK (kind IN ('case', 'course', 'movement', 'repeat')),
  rule       TEXT    COLLATE "C" NOT NULL,
  reasons    TEXT    NOT NULL,
  file_id    BIGINT  NOT NULL REFERENCES files ON DELETE RESTRICT,
  sheet      TEXT    NOT NULL,
  row        INTEGER NOT NULL CHECK (row >= 0),
  layout_id  BIGINT  NOT NULL REFERENCES layouts ON DELETE RESTRICT,
  original   TEXT    NOT NULL
);

-- Every problem a file had, those of rejected rows included, as JSON.
CREATE TABLE problems (
  file_id   BIGINT  NOT NULL REFERENCES files ON DELETE RESTRICT,
  position  INTEGER NOT NULL CHECK (position >= 0),
  rule      TEXT    NOT NULL,
  severity  TEXT    NOT NULL CHECK (severity IN ('info', 'warning', 'error')),
  problem   TEXT    NOT NULL,
  PRIMARY KEY (file_id, position)
);

-- How the records of a file met those already here.
CREATE TABLE tallies (
  file_id     BIGINT  NOT NULL REFERENCES files ON DELETE RESTRICT,
  kind        TEXT    NOT NULL CHECK (kind IN ('case', 'course', 'movement', 'repeat')),
  fresh       INTEGER NOT NULL CHECK (fresh >= 0),
  unchanged   INTEGER NOT NULL CHECK (unchanged >= 0),
  superseded  INTEGER NOT NULL CHECK (superseded >= 0),
  retired     INTEGER NOT NULL CHECK (retired >= 0),
  PRIMARY KEY (file_id, kind)
);

-- How many of the records a file gave stood here already, by the file they came from.
CREATE TABLE given_again (
  file_id    BIGINT  NOT NULL REFERENCES files ON DELETE RESTRICT,
  origin_id  BIGINT  NOT NULL REFERENCES files ON DELETE RESTRICT,
  records    INTEGER NOT NULL CHECK (records > 0),
  PRIMARY KEY (file_id, origin_id),
  CHECK (origin_id < file_id)
);

-- Cases taken out of the audit, now and in later imports.
CREATE TABLE removed (
  case_id   TEXT COLLATE "C" NOT NULL,
  practice  TEXT COLLATE "C" NOT NULL,
  reason    TEXT NOT NULL,
  PRIMARY KEY (case_id, practice)
);

-- Cases of which nothing is kept: a hash of salt and pseudonym, by which later
-- imports leave them out.
CREATE TABLE erased (
  practice  TEXT COLLATE "C" NOT NULL,
  salt      TEXT NOT NULL,
  hash      TEXT NOT NULL,
  PRIMARY KEY (practice, salt, hash)
);

-- What was answered about the layout of sheets, by a hash of their header.
CREATE TABLE profiles (
  header   TEXT  COLLATE "C" NOT NULL PRIMARY KEY,
  name     TEXT  COLLATE "C" NOT NULL,
  content  BYTEA NOT NULL
);

-- Practices that older databases of another kind could not tell apart: none here.
CREATE TABLE unsettled (
  case_id    TEXT COLLATE "C" NOT NULL PRIMARY KEY,
  practices  TEXT NOT NULL
);

-- A row counts from the write that made it, made_by, to the one that ended it, ended_by.
-- Which writes were completed the coordinator knows.
DO $$ DECLARE t TEXT; p INTEGER; key TEXT; single TEXT; BEGIN
  SELECT string_agg(tablename, ', ') INTO single FROM pg_tables WHERE schemaname = 'olderfleet';
  FOREACH t IN ARRAY ARRAY['cases', 'courses', 'movements', 'repeats'] LOOP
    SELECT string_agg(a.attname, ', ' ORDER BY k.n) INTO STRICT key
      FROM pg_index i CROSS JOIN unnest(i.indkey) WITH ORDINALITY AS k (attnum, n)
      JOIN pg_attribute a ON a.attrelid = i.indrelid AND a.attnum = k.attnum
      WHERE i.indrelid = t::regclass AND i.indisprimary;
    FOREACH p IN ARRAY ARRAY[0, 3] LOOP
      EXECUTE format('CREATE TABLE %I (LIKE %I INCLUDING DEFAULTS INCLUDING CONSTRAINTS, made_by BIGINT NOT NULL, ended_by BIGINT)', t || '_' || p, t);
      EXECUTE format('CREATE UNIQUE INDEX ON %I (%s, made_by)', t || '_' || p, key);
      EXECUTE format('CREATE INDEX ON %I USING brin (made_by)', t || '_' || p);
      EXECUTE format('CREATE INDEX ON %I (ended_by) WHERE ended_by IS NOT NULL', t || '_' || p);
    END LOOP;
  END LOOP;
  EXECUTE 'DROP TABLE ' || single;
END $$;

CREATE TABLE shard (name TEXT NOT NULL, version INTEGER NOT NULL, partitions INTEGER[] NOT NULL, modulus INTEGER NOT NULL);
INSERT INTO shard VALUES ('one', 1, '{0, 3}', 5);

-- The latest write that reached this server: a copy of it that was put back shows.
CREATE TABLE latest (name TEXT NOT NULL, write BIGINT NOT NULL);
INSERT INTO latest VALUES ('one', 0);

-- What "shortfall fleet check" asks, over the connection that the coordinator uses.
CREATE VIEW about AS SELECT s.*,
  current_setting('server_version_num')::INTEGER AS server_version,
  coalesce((SELECT c.ssl FROM pg_stat_ssl c WHERE c.pid = pg_backend_pid()), false) AS encrypted,
  (SELECT r.rolsuper FROM pg_roles r WHERE r.rolname = session_user) AS superuser,
  current_setting('log_statement') <> 'none' OR current_setting('log_min_duration_statement') <> '-1' OR current_setting('log_error_verbosity') <> 'terse' AS logs_values,
  (SELECT array_agg(t.relname || ': ' || (
      SELECT string_agg(a.attname || ' ' || format_type(a.atttypid, a.atttypmod) || CASE WHEN a.attnotnull THEN ' not null' ELSE '' END, ', ' ORDER BY a.attnum)
      FROM pg_attribute a WHERE a.attrelid = t.oid AND a.attnum > 0 AND NOT a.attisdropped)
    || (SELECT coalesce(string_agg(pg_get_constraintdef(c.oid), ' ' ORDER BY pg_get_constraintdef(c.oid)), '')
        FROM pg_constraint c WHERE c.conrelid = t.oid AND c.contype = 'c') ORDER BY t.relname)
   FROM pg_class t WHERE t.relnamespace = 'olderfleet'::regnamespace AND t.relkind = 'r' AND t.relname NOT IN ('shard', 'latest')) AS tables
FROM shard s;

GRANT USAGE ON SCHEMA olderfleet TO shortfall_shard;
GRANT SELECT, INSERT, UPDATE, DELETE ON ALL TABLES IN SCHEMA olderfleet TO shortfall_shard;
REVOKE INSERT, UPDATE, DELETE ON shard, about FROM shortfall_shard;
REVOKE INSERT, DELETE ON latest FROM shortfall_shard;
COMMIT;
