-- The coordinator of a fleet of {{len .Shares}} servers: what its operator runs once, as
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
CREATE SCHEMA {{.Schema}};
-- The partitions lie apart, where no role may go past the policies of the tables over them.
CREATE SCHEMA {{.Schema}}_shards;
SET LOCAL search_path = {{.Schema}}, public;
{{$plan := .}}
{{- range .Shares}}
CREATE SERVER {{$plan.Schema}}_{{.Name}} FOREIGN DATA WRAPPER postgres_fdw OPTIONS (
  host '{{.Host}}', port '{{.Port}}', dbname '{{.Database}}',
{{- if not .Loopback}} sslmode 'verify-full',{{if $plan.RootCert}} sslrootcert '{{$plan.RootCert}}',{{end}}{{end}}
  connect_timeout '10', keepalives_idle '30', keepalives_interval '10', keepalives_count '3',
  async_capable 'true', parallel_commit 'true', fetch_size '10000', batch_size '1000');
SELECT format('CREATE USER MAPPING FOR PUBLIC SERVER {{$plan.Schema}}_{{.Name}} OPTIONS (user %L, password %L)', 'shortfall_shard', :'password') \gexec
{{end}}
{{.Records}}
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
{{- range .Shares}}
INSERT INTO shards VALUES ('{{.Name}}', '{{$plan.Schema}}_{{.Name}}', '{ {{- list .Partitions -}} }');
CREATE FOREIGN TABLE {{$plan.Schema}}_shards.about_{{.Name}} (name TEXT, version INTEGER, partitions INTEGER[], modulus INTEGER,
  server_version INTEGER, encrypted BOOLEAN, superuser BOOLEAN, logs_values BOOLEAN, tables TEXT[])
  SERVER {{$plan.Schema}}_{{.Name}} OPTIONS (schema_name '{{$plan.Schema}}', table_name 'about');
CREATE FOREIGN TABLE {{$plan.Schema}}_shards.latest_{{.Name}} PARTITION OF latest FOR VALUES IN ('{{.Name}}')
  SERVER {{$plan.Schema}}_{{.Name}} OPTIONS (schema_name '{{$plan.Schema}}', table_name 'latest');
{{- end}}

-- Of each table of records: the partitioned one, with every row the servers keep, and a
-- view of the rows that count, in the place of the single server's table.
DO $$ DECLARE t TEXT; s RECORD; p INTEGER; BEGIN
  FOREACH t IN ARRAY ARRAY['cases', 'courses', 'movements', 'repeats'] LOOP
    EXECUTE format('CREATE TABLE %I (LIKE %I INCLUDING DEFAULTS INCLUDING CONSTRAINTS,
      made_by BIGINT NOT NULL DEFAULT current_setting(''shortfall.write'')::BIGINT, ended_by BIGINT) PARTITION BY HASH (practice, case_id)', t || '_kept', t);
    EXECUTE format('DROP TABLE %I', t);
    FOR s IN SELECT * FROM shards LOOP
      FOREACH p IN ARRAY s.partitions LOOP
        EXECUTE format('CREATE FOREIGN TABLE {{.Schema}}_shards.%I PARTITION OF %I FOR VALUES WITH (MODULUS {{.Plan.Partitions}}, REMAINDER %s)
          SERVER %I OPTIONS (schema_name ''{{.Schema}}'', table_name %L)', t || '_' || p, t || '_kept', p, s.server, t || '_' || p);
      END LOOP;
    END LOOP;
  END LOOP;
END $$;
{{template "views"}}
-- What came after the first schema.
{{template "steps" .CoordinatorSteps}}
COMMIT;
