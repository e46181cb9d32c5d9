-- Shapes have the words that the report and the template have. A column that a
-- check names can only be replaced; records say their columns by name.

ALTER TABLE movements ADD COLUMN form TEXT CHECK (form = 'block' OR form = 'wedge' OR form = 'oval' OR
                                                  form = 'dome' OR form = 'pair' OR form = 'other');
UPDATE movements SET form = CASE shape WHEN 'rectangular' THEN 'block' WHEN 'bevelled' THEN 'wedge'
  WHEN 'ellipsoid' THEN 'oval' WHEN 'hemisphere' THEN 'dome' ELSE shape END WHERE shape IS NOT NULL;
ALTER TABLE movements DROP COLUMN shape;
ALTER TABLE movements RENAME COLUMN form TO shape;

UPDATE history SET value = json_set(value, '$.shape', CASE json_extract(value, '$.shape') WHEN 'rectangular' THEN 'block'
  WHEN 'bevelled' THEN 'wedge' WHEN 'ellipsoid' THEN 'oval' WHEN 'hemisphere' THEN 'dome' ELSE json_extract(value, '$.shape') END)
  WHERE kind = 'movement' AND json_extract(value, '$.shape') IS NOT NULL;
