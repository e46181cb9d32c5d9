-- Both lists of writes are found once for a statement and sent to the servers with it.
DO $$ DECLARE t TEXT; columns TEXT; BEGIN
  FOREACH t IN ARRAY ARRAY['cases', 'courses', 'movements', 'repeats'] LOOP
    SELECT string_agg(a.attname, ', ' ORDER BY a.attnum) INTO STRICT columns FROM pg_attribute a
      WHERE a.attrelid = (t || '_kept')::regclass AND a.attnum > 0 AND NOT a.attisdropped AND a.attname NOT IN ('made_by', 'ended_by');
    EXECUTE format('CREATE OR REPLACE VIEW %I WITH (security_invoker = true) AS SELECT %s FROM %I
      WHERE made_by <= (SELECT max(id) FROM writes) AND made_by <> ALL ((SELECT array(SELECT id FROM writes WHERE NOT done))::BIGINT[])
        AND (ended_by IS NULL OR ended_by > (SELECT max(id) FROM writes) OR ended_by = ANY ((SELECT array(SELECT id FROM writes WHERE NOT done))::BIGINT[]))', t, columns, t || '_kept');
  END LOOP;
END $$;
