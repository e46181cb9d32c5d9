-- The results of the last audits, and a mark that is another after every transaction that
-- changes anything an audit reads, by whatever program. It takes all results with it, so
-- that what is kept tells nothing that the records do not.
SELECT set_config('search_path', current_schema() || ', pg_temp', true); -- of the functions below

CREATE TABLE changes (
  mark  UUID         NOT NULL,
  -- The transaction that made the mark: what it changes further makes no other.
  by    XID8         NOT NULL,
  at    TIMESTAMPTZ  NOT NULL
);
INSERT INTO changes VALUES (gen_random_uuid(), pg_current_xact_id(), transaction_timestamp());

CREATE TABLE last_results (
  kept_for  NAME         NOT NULL, -- the role that logged in, which may see what others may not
  key       TEXT         COLLATE "C" NOT NULL CHECK (key ~ '^[0-9a-f]{64}$'),
  day       TEXT         NOT NULL,
  kept_at   TIMESTAMPTZ  NOT NULL,
  results   BYTEA        NOT NULL CHECK (octet_length(results) <= 33554432),
  PRIMARY KEY (kept_for, key)
);
ALTER TABLE last_results ALTER COLUMN results SET STORAGE EXTERNAL; -- compressed already
-- Without a policy nobody but the owner, as whom the functions run, whatever is granted.
ALTER TABLE changes ENABLE ROW LEVEL SECURITY;
ALTER TABLE last_results ENABLE ROW LEVEL SECURITY;

CREATE FUNCTION changed() RETURNS TRIGGER
  LANGUAGE plpgsql SECURITY DEFINER SET search_path FROM CURRENT
  AS $$ BEGIN
    UPDATE changes SET mark = gen_random_uuid(), by = pg_current_xact_id(), at = transaction_timestamp()
      WHERE (by, at) IS DISTINCT FROM (pg_current_xact_id(), transaction_timestamp());
    IF FOUND THEN
      DELETE FROM last_results;
    END IF;
    RETURN NULL;
  END $$;

CREATE FUNCTION mark() RETURNS UUID
  LANGUAGE sql STABLE SECURITY DEFINER SET search_path FROM CURRENT
  AS $$ SELECT c.mark FROM changes c $$;

CREATE FUNCTION kept_results(of_key TEXT) RETURNS TABLE (kept_on TEXT, kept BYTEA)
  LANGUAGE sql STABLE SECURITY DEFINER SET search_path FROM CURRENT
  AS $$ SELECT l.day, l.results FROM last_results l WHERE l.kept_for = session_user AND l.key = of_key $$;

-- Keeps the results of a role that may import, of the records of one mark: the four that it
-- kept last. Whoever changes records at this moment is not waited for.
CREATE FUNCTION keep_results(of_mark UUID, of_key TEXT, on_day TEXT, keep BYTEA) RETURNS BOOLEAN
  LANGUAGE plpgsql SECURITY DEFINER SET search_path FROM CURRENT
  AS $$ BEGIN
    IF NOT has_table_privilege(session_user, 'files'::regclass, 'INSERT') THEN
      RETURN false;
    END IF;
    PERFORM FROM changes c WHERE c.mark = of_mark FOR SHARE SKIP LOCKED;
    IF NOT FOUND THEN
      RETURN false;
    END IF;
    INSERT INTO last_results VALUES (session_user, of_key, on_day, clock_timestamp(), keep)
      ON CONFLICT (kept_for, key) DO UPDATE SET day = excluded.day, kept_at = excluded.kept_at, results = excluded.results;
    DELETE FROM last_results l WHERE l.kept_for = session_user AND l.kept_at <
      (SELECT min(k.kept_at) FROM (SELECT r.kept_at FROM last_results r WHERE r.kept_for = session_user ORDER BY r.kept_at DESC LIMIT 4) AS k);
    RETURN true;
  END $$;

-- Tables of records are those of a fleet where this is its coordinator. Who is a member is
-- known where roles.sql was run.
DO $$ DECLARE t TEXT; BEGIN
  FOREACH t IN ARRAY ARRAY['files', 'sheets', 'layouts', 'cases', 'courses', 'movements', 'repeats',
      'history', 'rejected', 'problems', 'tallies', 'given_again', 'removed', 'erased', 'unsettled', 'members'] LOOP
    IF to_regclass(t || '_kept') IS NOT NULL THEN
      t := t || '_kept';
    END IF;
    IF to_regclass(t) IS NOT NULL THEN
      EXECUTE format('CREATE TRIGGER changed AFTER INSERT OR UPDATE OR DELETE OR TRUNCATE ON %I FOR EACH STATEMENT EXECUTE FUNCTION changed()', t);
    END IF;
  END LOOP;
END $$;
