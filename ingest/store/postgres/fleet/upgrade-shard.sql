-- Brings the share of the server "{{.Share.Name}}" in a fleet to schema {{.Version}}. What its operator
-- runs, as who made it, in its database:
--
--   psql -X -d {{.Share.Database}} -f upgrade-{{.Share.Name}}.sql
--
-- Every server's first, in any order, and upgrade-coordinator.sql when all are done; until
-- then the older program works as before. One that was interrupted is run again: all of a
-- script is done or nothing of it, and what is done already is left alone.

\set ON_ERROR_STOP on
BEGIN;
SET LOCAL search_path = {{.Schema}};
LOCK TABLE shard IN EXCLUSIVE MODE;
DO $$ BEGIN
  IF (SELECT name FROM shard) <> '{{.Share.Name}}' THEN
    RAISE EXCEPTION 'this is the share of another server: %', (SELECT name FROM shard);
  END IF;
END $$;
{{template "steps" .ShareSteps}}
GRANT SELECT, INSERT, UPDATE, DELETE ON ALL TABLES IN SCHEMA {{.Schema}} TO shortfall_shard;
REVOKE INSERT, UPDATE, DELETE ON shard, about FROM shortfall_shard;
REVOKE INSERT, DELETE ON latest FROM shortfall_shard;
COMMIT;
