-- Of an original row only the cells of columns that were read, where they
-- parsed, are kept, under our own names of the columns; of a problem its rule, its
-- place and the class of what was found. Which cells of older rows parsed is not
-- known, so nothing of them is kept: the records themselves, their files, sheets
-- and rows stay.

INSERT OR IGNORE INTO layouts (file_id, cells) SELECT id, '[]' FROM files;
UPDATE cases     SET original = '[]', layout_id = (SELECT l.id FROM layouts l WHERE l.file_id = cases.file_id AND l.cells = '[]');
UPDATE courses   SET original = '[]', layout_id = (SELECT l.id FROM layouts l WHERE l.file_id = courses.file_id AND l.cells = '[]');
UPDATE movements SET original = '[]', layout_id = (SELECT l.id FROM layouts l WHERE l.file_id = movements.file_id AND l.cells = '[]');
UPDATE repeats   SET original = '[]', layout_id = (SELECT l.id FROM layouts l WHERE l.file_id = repeats.file_id AND l.cells = '[]');
UPDATE history   SET original = '[]', layout_id = (SELECT l.id FROM layouts l WHERE l.file_id = history.file_id AND l.cells = '[]');
UPDATE rejected  SET original = '[]', layout_id = (SELECT l.id FROM layouts l WHERE l.file_id = rejected.file_id AND l.cells = '[]'),
  reasons = CASE json_type(reasons) WHEN 'array'
    THEN (SELECT json_group_array(json(json_remove(value, '$.message', '$.remedy', '$.column'))) FROM json_each(reasons))
    ELSE '[]' END;
UPDATE problems  SET problem = json_remove(problem, '$.message', '$.remedy', '$.column');
DELETE FROM layouts WHERE cells <> '[]';
