
-- Which writes count, and what the servers say of their own rows.
CREATE TRIGGER changed AFTER UPDATE OR DELETE OR TRUNCATE ON writes FOR EACH STATEMENT EXECUTE FUNCTION changed();
ALTER TABLE latest ADD COLUMN mark UUID;
