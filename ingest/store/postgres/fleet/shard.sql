-- The share of the server "{{.Share.Name}}" in a fleet of {{len .Shares}}: {{len .Share.Partitions}} of {{.Plan.Partitions}} partitions.
-- What its operator runs once, as superuser, in a database made for it:
--
--   createdb {{.Share.Database}}
--   SHORTFALL_SHARD_PASSWORD=... psql -X -d {{.Share.Database}} -f shard-{{.Share.Name}}.sql
--
-- The password is that by which the coordinator connects, as the role shortfall_shard,
-- which may read and change these rows and nothing else. pg_hba.conf should let in that
-- role from the coordinator's address alone, encrypted, by password:
--
--   hostssl {{.Share.Database}} shortfall_shard ADDRESS scram-sha-256
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
CREATE SCHEMA {{.Schema}};
SET LOCAL search_path = {{.Schema}};

-- The tables of a single server, after which those of the partitions are made.
{{.Records}}
-- A row counts from the write that made it, made_by, to the one that ended it, ended_by.
-- Which writes were completed the coordinator knows.
DO $$ DECLARE t TEXT; p INTEGER; key TEXT; single TEXT; BEGIN
  SELECT string_agg(tablename, ', ') INTO single FROM pg_tables WHERE schemaname = '{{.Schema}}';
  FOREACH t IN ARRAY ARRAY['cases', 'courses', 'movements', 'repeats'] LOOP
    SELECT string_agg(a.attname, ', ' ORDER BY k.n) INTO STRICT key
      FROM pg_index i CROSS JOIN unnest(i.indkey) WITH ORDINALITY AS k (attnum, n)
      JOIN pg_attribute a ON a.attrelid = i.indrelid AND a.attnum = k.attnum
      WHERE i.indrelid = t::regclass AND i.indisprimary;
    FOREACH p IN ARRAY ARRAY[{{list .Share.Partitions}}] LOOP
      EXECUTE format('CREATE TABLE %I (LIKE %I INCLUDING DEFAULTS INCLUDING CONSTRAINTS, made_by BIGINT NOT NULL, ended_by BIGINT)', t || '_' || p, t);
      EXECUTE format('CREATE UNIQUE INDEX ON %I (%s, made_by)', t || '_' || p, key);
      EXECUTE format('CREATE INDEX ON %I USING brin (made_by)', t || '_' || p);
      EXECUTE format('CREATE INDEX ON %I (ended_by) WHERE ended_by IS NOT NULL', t || '_' || p);
    END LOOP;
  END LOOP;
  EXECUTE 'DROP TABLE ' || single;
END $$;

CREATE TABLE shard (name TEXT NOT NULL, version INTEGER NOT NULL, partitions INTEGER[] NOT NULL, modulus INTEGER NOT NULL);
INSERT INTO shard VALUES ('{{.Share.Name}}', {{.First}}, '{ {{- list .Share.Partitions -}} }', {{.Plan.Partitions}});

-- The latest write that reached this server: a copy of it that was put back shows.
CREATE TABLE latest (name TEXT NOT NULL, write BIGINT NOT NULL);
INSERT INTO latest VALUES ('{{.Share.Name}}', 0);

-- What came after the first schema.
{{template "steps" .ShareSteps}}
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
   FROM pg_class t WHERE t.relnamespace = '{{.Schema}}'::regnamespace AND t.relkind = 'r' AND t.relname NOT IN ('shard', 'latest')) AS tables
FROM shard s;

GRANT USAGE ON SCHEMA {{.Schema}} TO shortfall_shard;
GRANT SELECT, INSERT, UPDATE, DELETE ON ALL TABLES IN SCHEMA {{.Schema}} TO shortfall_shard;
REVOKE INSERT, UPDATE, DELETE ON shard, about FROM shortfall_shard;
REVOKE INSERT, DELETE ON latest FROM shortfall_shard;
COMMIT;
