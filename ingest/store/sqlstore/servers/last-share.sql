-- A mark that is another after every transaction that changes a row here, by whatever
-- program: the coordinator keeps the results of audits, and knows by it of what states.
SELECT set_config('search_path', current_schema() || ', pg_temp', true); -- of the function below

ALTER TABLE latest ADD COLUMN mark UUID NOT NULL DEFAULT gen_random_uuid(), ADD COLUMN by XID8, ADD COLUMN at TIMESTAMPTZ;

CREATE FUNCTION changed() RETURNS TRIGGER
  LANGUAGE plpgsql SECURITY DEFINER SET search_path FROM CURRENT
  AS $$ BEGIN
    UPDATE latest SET mark = gen_random_uuid(), by = pg_current_xact_id(), at = transaction_timestamp()
      WHERE (by, at) IS DISTINCT FROM (pg_current_xact_id(), transaction_timestamp());
    RETURN NULL;
  END $$;

DO $$ DECLARE t TEXT; p INTEGER; BEGIN
  FOREACH p IN ARRAY (SELECT partitions FROM shard) LOOP
    FOREACH t IN ARRAY ARRAY['cases', 'courses', 'movements', 'repeats'] LOOP
      EXECUTE format('CREATE TRIGGER changed AFTER INSERT OR UPDATE OR DELETE OR TRUNCATE ON %I FOR EACH STATEMENT EXECUTE FUNCTION changed()', t || '_' || p);
    END LOOP;
  END LOOP;
END $$;
