-- How outcomes were measured, and whether the wear was rated before they were known.

ALTER TABLE cases ADD COLUMN wear_recorded TEXT CHECK (wear_recorded = 'before' OR wear_recorded = 'after');
ALTER TABLE courses ADD COLUMN measured_by TEXT
  CHECK (measured_by = 'superimposed scans' OR measured_by = 'next plan''s start' OR measured_by = 'models' OR measured_by = 'other');
ALTER TABLE movements ADD COLUMN measured_by TEXT
  CHECK (measured_by = 'superimposed scans' OR measured_by = 'next plan''s start' OR measured_by = 'models' OR measured_by = 'other');
