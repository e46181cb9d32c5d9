-- Brings the coordinator of a fleet to schema {{.Version}}, when every server was. What its operator
-- runs, as the owner of the tables, in its database, after a copy was made of all servers:
--
--   psql -X -d DATABASE -f upgrade-coordinator.sql
--
-- An import that is under way is waited for. One that was interrupted is run again: all of
-- it is done or nothing. Then roles.sql once more, where it was run before, and "shortfall fleet check --db postgres://HOST/DATABASE".

\set ON_ERROR_STOP on
BEGIN;
SET LOCAL search_path = {{.Schema}}, public;
SELECT pg_advisory_xact_lock(hashtextextended('shortfall {{.Schema}}', 0));
DO $$ DECLARE one TEXT; there INTEGER; BEGIN
  FOR one IN SELECT name FROM shards ORDER BY name LOOP
    EXECUTE format('SELECT version FROM {{.Schema}}_shards.%I', 'about_' || one) INTO there;
    IF there IS DISTINCT FROM {{.Version}} THEN
      RAISE EXCEPTION 'the server % has schema %, not {{.Version}}: run upgrade-%.sql there first', one, there, one;
    END IF;
  END LOOP;
END $$;
{{template "steps" .CoordinatorSteps}}
COMMIT;
