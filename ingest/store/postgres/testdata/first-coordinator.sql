-- The coordinator of a fleet of 3 servers: what its operator runs once, as
-- superuser, in a database made for it, after the script of every server:
--
--   SHORTFALL_SHARD_PASSWORD=... psql -X -d DATABASE -f coordinator.sql
--
-- Then "shortfall fleet check --db postgres://HOST/DATABASE", and roles.sql for those
-- who read and write. The coordinator keeps files, reasons and the history; the records
-- as they stand lie with the servers. It needs PostgreSQL 15 or later.

\set ON_ERROR_STOP on
\getenv password SHORTFALL_SHARD_PASSWORD
\if :{?password}
\else
DO $$ BEGIN RAISE EXCEPTION 'SHORTFALL_SHARD_PASSWORD is not set'; END $$;
\endif

BEGIN;
SET LOCAL log_statement = 'none'; -- the password
SET LOCAL log_min_error_statement = 'panic';
CREATE EXTENSION IF NOT EXISTS postgres_fdw WITH SCHEMA public;
CREATE SCHEMA olderfleet;
-- The partitions lie apart, where no role may go past the policies of the tables over them.
CREATE SCHEMA olderfleet_shards;
SET LOCAL search_path = olderfleet, public;

CREATE SERVER olderfleet_one FOREIGN DATA WRAPPER postgres_fdw OPTIONS (
  host '127.0.0.1', port '60001', dbname 'share',
  connect_timeout '10', keepalives_idle '30', keepalives_interval '10', keepalives_count '3',
  async_capable 'true', parallel_commit 'true', fetch_size '10000', batch_size '1000');
SELECT format('CREATE USER MAPPING FOR PUBLIC SERVER olderfleet_one OPTIONS (user %L, password %L)', 'shortfall_shard', :'password') \gexec

CREATE SERVER olderfleet_two FOREIGN DATA WRAPPER postgres_fdw OPTIONS (
  host '127.0.0.1', port '60002', dbname 'share',
  connect_timeout '10', keepalives_idle '30', keepalives_interval '10', keepalives_count '3',
  async_capable 'true', parallel_commit 'true', fetch_size '10000', batch_size '1000');
SELECT format('CREATE USER MAPPING FOR PUBLIC SERVER olderfleet_two OPTIONS (user %L, password %L)', 'shortfall_shard', :'password') \gexec

CREATE SERVER olderfleet_three FOREIGN DATA WRAPPER postgres_fdw OPTIONS (
  host '127.0.0.1', port '60003', dbname 'share',
  connect_timeout '10', keepalives_idle '30', keepalives_interval '10', keepalives_count '3',
  async_capable 'true', parallel_commit 'true', fetch_size '10000', batch_size '1000');
SELECT format('CREATE USER MAPPING FOR PUBLIC SERVER olderfleet_three OPTIONS (user %L, password %L)', 'shortfall_shard', :'password') \gexec

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

-- The writes, in their order. An entry is there, for good, before its write reaches a
-- server, and is done when the coordinator commits: what a server keeps of a write that
-- is not done counts nowhere.
CREATE TABLE writes (
  id        BIGINT  GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  done      BOOLEAN NOT NULL DEFAULT false,
  given_by  NAME    NOT NULL DEFAULT session_user
);
CREATE INDEX writes_open ON writes (id) WHERE NOT done;
-- Locked by those who read, so that no row goes that they still need.
CREATE TABLE reading ();
-- The latest write that reached each server.
CREATE TABLE latest (name TEXT NOT NULL, write BIGINT NOT NULL) PARTITION BY LIST (name);
-- What each server should hold.
CREATE TABLE shards (name TEXT PRIMARY KEY, server TEXT NOT NULL, partitions INTEGER[] NOT NULL);
INSERT INTO shards VALUES ('one', 'olderfleet_one', '{0, 3}');
CREATE FOREIGN TABLE olderfleet_shards.about_one (name TEXT, version INTEGER, partitions INTEGER[], modulus INTEGER,
  server_version INTEGER, encrypted BOOLEAN, superuser BOOLEAN, logs_values BOOLEAN, tables TEXT[])
  SERVER olderfleet_one OPTIONS (schema_name 'olderfleet', table_name 'about');
CREATE FOREIGN TABLE olderfleet_shards.latest_one PARTITION OF latest FOR VALUES IN ('one')
  SERVER olderfleet_one OPTIONS (schema_name 'olderfleet', table_name 'latest');
INSERT INTO shards VALUES ('two', 'olderfleet_two', '{1, 4}');
CREATE FOREIGN TABLE olderfleet_shards.about_two (name TEXT, version INTEGER, partitions INTEGER[], modulus INTEGER,
  server_version INTEGER, encrypted BOOLEAN, superuser BOOLEAN, logs_values BOOLEAN, tables TEXT[])
  SERVER olderfleet_two OPTIONS (schema_name 'olderfleet', table_name 'about');
CREATE FOREIGN TABLE olderfleet_shards.latest_two PARTITION OF latest FOR VALUES IN ('two')
  SERVER olderfleet_two OPTIONS (schema_name 'olderfleet', table_name 'latest');
INSERT INTO shards VALUES ('three', 'olderfleet_three', '{2}');
CREATE FOREIGN TABLE olderfleet_shards.about_three (name TEXT, version INTEGER, partitions INTEGER[], modulus INTEGER,
  server_version INTEGER, encrypted BOOLEAN, superuser BOOLEAN, logs_values BOOLEAN, tables TEXT[])
  SERVER olderfleet_three OPTIONS (schema_name 'olderfleet', table_name 'about');
CREATE FOREIGN TABLE olderfleet_shards.latest_three PARTITION OF latest FOR VALUES IN ('three')
  SERVER olderfleet_three OPTIONS (schema_name 'olderfleet', table_name 'latest');

-- Of each table of records: the partitioned one, with every row the servers keep, and a
-- view of the rows that count, in the place of the single server's table.
DO $$ DECLARE t TEXT; columns TEXT; s RECORD; p INTEGER; BEGIN
  FOREACH t IN ARRAY ARRAY['cases', 'courses', 'movements', 'repeats'] LOOP
    EXECUTE format('CREATE TABLE %I (LIKE %I INCLUDING DEFAULTS INCLUDING CONSTRAINTS,
      made_by BIGINT NOT NULL DEFAULT current_setting(''shortfall.write'')::BIGINT, ended_by BIGINT) PARTITION BY HASH (practice, case_id)', t || '_kept', t);
    SELECT string_agg(a.attname, ', ' ORDER BY a.attnum) INTO STRICT columns
      FROM pg_attribute a WHERE a.attrelid = t::regclass AND a.attnum > 0 AND NOT a.attisdropped;
    EXECUTE format('DROP TABLE %I', t);
    FOR s IN SELECT * FROM shards LOOP
      FOREACH p IN ARRAY s.partitions LOOP
        EXECUTE format('CREATE FOREIGN TABLE olderfleet_shards.%I PARTITION OF %I FOR VALUES WITH (MODULUS 5, REMAINDER %s)
          SERVER %I OPTIONS (schema_name ''olderfleet'', table_name %L)', t || '_' || p, t || '_kept', p, s.server, t || '_' || p);
      END LOOP;
    END LOOP;
    -- Both lists are found once for a statement and sent to the servers with it.
    EXECUTE format('CREATE VIEW %I WITH (security_invoker = true) AS SELECT %s FROM %I
      WHERE made_by <= (SELECT max(id) FROM writes) AND made_by <> ALL ((SELECT array(SELECT id FROM writes WHERE NOT done))::BIGINT[])
        AND (ended_by IS NULL OR ended_by > (SELECT max(id) FROM writes) OR ended_by = ANY ((SELECT array(SELECT id FROM writes WHERE NOT done))::BIGINT[]))', t, columns, t || '_kept');
  END LOOP;
END $$;
COMMIT;
