-- Sheets are known by their number where their name could be somebody's; which of the
-- names that older versions kept could be is not for SQL to tell, so all but those of
-- our own layout go.

UPDATE cases     SET sheet = coalesce((SELECT 'number ' || (s.position + 1) FROM sheets s WHERE s.file_id = cases.file_id AND s.name = cases.sheet ORDER BY s.position LIMIT 1), 'not named')
  WHERE sheet NOT IN ('cases', 'courses', 'movements', 'repeats');
UPDATE courses   SET sheet = coalesce((SELECT 'number ' || (s.position + 1) FROM sheets s WHERE s.file_id = courses.file_id AND s.name = courses.sheet ORDER BY s.position LIMIT 1), 'not named')
  WHERE sheet NOT IN ('cases', 'courses', 'movements', 'repeats');
UPDATE movements SET sheet = coalesce((SELECT 'number ' || (s.position + 1) FROM sheets s WHERE s.file_id = movements.file_id AND s.name = movements.sheet ORDER BY s.position LIMIT 1), 'not named')
  WHERE sheet NOT IN ('cases', 'courses', 'movements', 'repeats');
UPDATE repeats   SET sheet = coalesce((SELECT 'number ' || (s.position + 1) FROM sheets s WHERE s.file_id = repeats.file_id AND s.name = repeats.sheet ORDER BY s.position LIMIT 1), 'not named')
  WHERE sheet NOT IN ('cases', 'courses', 'movements', 'repeats');
UPDATE history   SET sheet = coalesce((SELECT 'number ' || (s.position + 1) FROM sheets s WHERE s.file_id = history.file_id AND s.name = history.sheet ORDER BY s.position LIMIT 1), 'not named')
  WHERE sheet NOT IN ('cases', 'courses', 'movements', 'repeats');
UPDATE rejected  SET sheet = coalesce((SELECT 'number ' || (s.position + 1) FROM sheets s WHERE s.file_id = rejected.file_id AND s.name = rejected.sheet ORDER BY s.position LIMIT 1), 'not named')
  WHERE sheet NOT IN ('cases', 'courses', 'movements', 'repeats');
UPDATE rejected  SET reasons = (SELECT json_group_array(json(json_set(value, '$.sheet', rejected.sheet))) FROM json_each(rejected.reasons))
  WHERE json_type(reasons) = 'array';
UPDATE problems  SET problem = json_set(problem, '$.sheet', coalesce((SELECT 'number ' || (s.position + 1) FROM sheets s WHERE s.file_id = problems.file_id
    AND s.name = json_extract(problems.problem, '$.sheet') ORDER BY s.position LIMIT 1), 'not named'))
  WHERE json_extract(problem, '$.sheet') NOT IN ('', 'cases', 'courses', 'movements', 'repeats');
UPDATE sheets    SET name = 'number ' || (position + 1) WHERE name NOT IN ('cases', 'courses', 'movements', 'repeats');
