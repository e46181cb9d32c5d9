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
-- (https://www.postgresql.org/docs/15/ddl-rowsecurity.html).

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

CREATE TABLE IF NOT EXISTS shortfall.members (
  role      NAME NOT NULL,
  practice  TEXT COLLATE "C" NOT NULL,
  PRIMARY KEY (role, practice)
);

-- Both run as the owner, so that nobody need be able to read who the others are.
CREATE OR REPLACE FUNCTION shortfall.mine(practice TEXT) RETURNS BOOLEAN
  LANGUAGE sql STABLE SECURITY DEFINER SET search_path = shortfall, pg_temp
  AS $$ SELECT EXISTS (SELECT FROM members m WHERE m.role = session_user AND m.practice = $1) $$;
CREATE OR REPLACE FUNCTION shortfall.colleague(other NAME) RETURNS BOOLEAN
  LANGUAGE sql STABLE SECURITY DEFINER SET search_path = shortfall, pg_temp
  AS $$ SELECT $1 = session_user OR EXISTS
    (SELECT FROM members a JOIN members b USING (practice) WHERE a.role = $1 AND b.role = session_user) $$;

DO $$ DECLARE t TEXT; BEGIN
  FOREACH t IN ARRAY ARRAY['cases', 'courses', 'movements', 'repeats', 'history', 'removed', 'erased'] LOOP
    EXECUTE format('ALTER TABLE shortfall.%I ENABLE ROW LEVEL SECURITY', t);
    EXECUTE format('DROP POLICY IF EXISTS practice ON shortfall.%I', t);
    EXECUTE format('CREATE POLICY practice ON shortfall.%I USING (shortfall.mine(practice))', t);
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
