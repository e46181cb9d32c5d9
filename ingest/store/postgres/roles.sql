-- What the operator of a server runs once, as the owner of the tables, after the
-- first import has made them: who may read, who may write, and whose practice it is.
--
--   psql -d DATABASE -f roles.sql
--   CREATE ROLE anna LOGIN IN ROLE shortfall_reader;
--   INSERT INTO shortfall.members VALUES ('anna', 'P1');
--
-- A member sees the records of the practices that members names for the role, and the
-- files that members of the same practices imported. The owner of the tables sees all:
-- the audit of the whole group is run as the owner, or as a role with BYPASSRLS
-- (https://www.postgresql.org/docs/15/ddl-rowsecurity.html). On the coordinator of a fleet
-- the policies are those of the tables over the partitions; that a role reads a
-- partition past them is kept out by the schema in which those lie. The servers know
-- one role alone, shortfall_shard.

DO $$ BEGIN
  IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'shortfall_reader') THEN
    CREATE ROLE shortfall_reader NOLOGIN;
  END IF;
  IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'shortfall_writer') THEN
    CREATE ROLE shortfall_writer NOLOGIN IN ROLE shortfall_reader;
  END IF;
END $$;

GRANT USAGE ON SCHEMA shortfall TO shortfall_reader;
GRANT SELECT ON ALL TABLES IN SCHEMA shortfall TO shortfall_reader;
GRANT INSERT, UPDATE, DELETE ON ALL TABLES IN SCHEMA shortfall TO shortfall_writer;
REVOKE INSERT, UPDATE, DELETE ON shortfall.version FROM shortfall_writer;
-- The results of audits are reached by functions alone, by each role its own; a writer's
-- are kept, a reader's are not.
DO $$ BEGIN
  IF to_regclass('shortfall.last_results') IS NOT NULL THEN
    REVOKE ALL ON shortfall.last_results, shortfall.changes FROM shortfall_reader, shortfall_writer;
  END IF;
END $$;

-- With these the program keeps values of records out of the server's log, whatever that
-- logs of others. Only a superuser can grant them, from PostgreSQL 15 on.
DO $$ BEGIN
  EXECUTE 'GRANT SET ON PARAMETER log_parameter_max_length, log_error_verbosity TO shortfall_reader, shortfall_writer';
EXCEPTION WHEN insufficient_privilege OR syntax_error THEN
  RAISE NOTICE 'not granted: arguments of statements are logged where log_statement or log_min_duration_statement ask for them';
END $$;

CREATE TABLE IF NOT EXISTS shortfall.members (
  role      NAME NOT NULL,
  practice  TEXT COLLATE "C" NOT NULL,
  PRIMARY KEY (role, practice)
);

-- Both run as the owner, so that nobody need be able to read who the others are.
CREATE OR REPLACE FUNCTION shortfall.mine() RETURNS TEXT[]
  LANGUAGE sql STABLE SECURITY DEFINER SET search_path = shortfall, pg_temp
  AS $$ SELECT array(SELECT m.practice FROM members m WHERE m.role = session_user) $$;
CREATE OR REPLACE FUNCTION shortfall.colleague(other NAME) RETURNS BOOLEAN
  LANGUAGE sql STABLE SECURITY DEFINER SET search_path = shortfall, pg_temp
  AS $$ SELECT $1 = session_user OR EXISTS
    (SELECT FROM members a JOIN members b USING (practice) WHERE a.role = $1 AND b.role = session_user) $$;

-- On a fleet: policies let no row be seen or ended that is another's, yet none is looked at
-- when a row is written to a foreign table, nor when it is changed there. So a trigger
-- looks at new rows, which then travel one by one, and nothing but the end of a row may
-- be changed.
CREATE OR REPLACE FUNCTION shortfall.only_mine() RETURNS TRIGGER LANGUAGE plpgsql AS $$ BEGIN
  IF row_security_active('shortfall.cases_kept') AND NEW.practice <> ALL (shortfall.mine()) THEN
    RAISE EXCEPTION 'a record of another practice' USING ERRCODE = 'insufficient_privilege';
  END IF;
  RETURN NEW;
END $$;
DO $$ DECLARE t TEXT; BEGIN
  IF to_regclass('shortfall.shards') IS NULL THEN
    RETURN;
  END IF;
  REVOKE INSERT, UPDATE, DELETE ON shortfall.shards FROM shortfall_writer;
  REVOKE INSERT, DELETE ON shortfall.latest FROM shortfall_writer;
  -- Each role completes its own writes, and undoes none.
  REVOKE UPDATE, DELETE ON shortfall.writes FROM shortfall_writer;
  GRANT UPDATE (done) ON shortfall.writes TO shortfall_writer;
  ALTER TABLE shortfall.writes ENABLE ROW LEVEL SECURITY;
  DROP POLICY IF EXISTS seen ON shortfall.writes;
  DROP POLICY IF EXISTS entered ON shortfall.writes;
  DROP POLICY IF EXISTS completed ON shortfall.writes;
  CREATE POLICY seen ON shortfall.writes FOR SELECT USING (true);
  CREATE POLICY entered ON shortfall.writes FOR INSERT WITH CHECK (given_by = session_user AND NOT done);
  CREATE POLICY completed ON shortfall.writes FOR UPDATE USING (given_by = session_user AND NOT done) WITH CHECK (done);
  FOREACH t IN ARRAY ARRAY['cases_kept', 'courses_kept', 'movements_kept', 'repeats_kept'] LOOP
    EXECUTE format('REVOKE UPDATE ON shortfall.%I FROM shortfall_writer', t);
    EXECUTE format('GRANT UPDATE (ended_by) ON shortfall.%I TO shortfall_writer', t);
    EXECUTE format('CREATE OR REPLACE TRIGGER only_mine BEFORE INSERT ON shortfall.%I FOR EACH ROW EXECUTE FUNCTION shortfall.only_mine()', t);
  END LOOP;
END $$;

DO $$ DECLARE t TEXT; BEGIN
  FOREACH t IN ARRAY ARRAY['cases', 'courses', 'movements', 'repeats', 'history', 'removed', 'erased'] LOOP
    IF to_regclass('shortfall.' || t || '_kept') IS NOT NULL THEN
      t := t || '_kept'; -- of a fleet
    END IF;
    EXECUTE format('ALTER TABLE shortfall.%I ENABLE ROW LEVEL SECURITY', t);
    EXECUTE format('DROP POLICY IF EXISTS practice ON shortfall.%I', t);
    -- The list is found once for a statement, and goes to the servers of a fleet with it.
    EXECUTE format('CREATE POLICY practice ON shortfall.%I USING (practice = ANY ((SELECT shortfall.mine())::TEXT[]))', t);
  END LOOP;
  FOREACH t IN ARRAY ARRAY['sheets', 'layouts', 'rejected', 'problems', 'tallies', 'given_again'] LOOP
    EXECUTE format('ALTER TABLE shortfall.%I ENABLE ROW LEVEL SECURITY', t);
    EXECUTE format('DROP POLICY IF EXISTS practice ON shortfall.%I', t);
    -- The files that a role sees are those of the policy below.
    EXECUTE format('CREATE POLICY practice ON shortfall.%I USING (file_id IN (SELECT id FROM shortfall.files))', t);
  END LOOP;
  ALTER TABLE shortfall.files ENABLE ROW LEVEL SECURITY;
  DROP POLICY IF EXISTS practice ON shortfall.files;
  CREATE POLICY practice ON shortfall.files USING (shortfall.colleague(given_by));
END $$;

-- Who sees what is another thing from here on, and whenever members changes: results that
-- were kept before answer no more.
DO $$ BEGIN
  IF to_regclass('shortfall.last_results') IS NOT NULL THEN
    DROP TRIGGER IF EXISTS changed ON shortfall.members;
    CREATE TRIGGER changed AFTER INSERT OR UPDATE OR DELETE OR TRUNCATE ON shortfall.members FOR EACH STATEMENT EXECUTE FUNCTION shortfall.changed();
    UPDATE shortfall.changes SET mark = gen_random_uuid();
    DELETE FROM shortfall.last_results;
  END IF;
END $$;
