-- What came back from the foundry about a core as it was set, and files of readings that are taken back as a whole.

-- A check in the mould, a rub or a remark of one setting. Sizes are mm in the mould. item_id: the sand core that was set.
CREATE TABLE setting_answer (
  id         BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  job_of_id  BLOB NOT NULL REFERENCES job(id),
  core_of_id BLOB REFERENCES core(id),        -- NULL: said of the mould as a whole
  item_id    BLOB REFERENCES item(id),
  step       INTEGER CHECK (step BETWEEN 1 AND 999),
  sort       TEXT NOT NULL CHECK (sort IN ('check', 'rub', 'remark')),
  what       TEXT NOT NULL CHECK (length(what) BETWEEN 1 AND 200),
  result     TEXT CHECK (result IN ('go', 'no_go')),
  value      REAL CHECK (abs(value) < 1e5),
  typed      TEXT CHECK (length(typed) BETWEEN 1 AND 64),
  lower      REAL CHECK (abs(lower) < 1e5),   -- the limits that the foundry's sheet gave
  upper      REAL CHECK (abs(upper) < 1e5),
  words      TEXT CHECK (length(words) BETWEEN 1 AND 1000),
  mould      TEXT CHECK (length(mould) BETWEEN 1 AND 40),
  who        TEXT CHECK (length(who) BETWEEN 1 AND 80),
  on_date    TEXT NOT NULL CHECK (on_date GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  CHECK ((value IS NULL) = (typed IS NULL)),
  CHECK (value IS NOT NULL OR result IS NOT NULL OR words IS NOT NULL)
) STRICT, WITHOUT ROWID;
CREATE INDEX setting_answer_job ON setting_answer (job_of_id);
CREATE INDEX setting_answer_core ON setting_answer (core_of_id) WHERE core_of_id IS NOT NULL;
CREATE INDEX setting_answer_item ON setting_answer (item_id) WHERE item_id IS NOT NULL;
CREATE TRIGGER setting_answer_no_update BEFORE UPDATE ON setting_answer
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER setting_answer_no_delete BEFORE DELETE ON setting_answer
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER setting_answer_no_replace BEFORE INSERT ON setting_answer
  WHEN EXISTS (SELECT 1 FROM setting_answer WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- Setups of the files that were taken back: what was read under them does not count until the file comes back.
CREATE VIEW setup_taken_back AS
  SELECT s.id FROM withdrawal w JOIN import_file f ON f.id = w.about_id JOIN setup s ON s.session_id = f.session_id
  WHERE w.state = 'withdrawn' AND NOT EXISTS (SELECT 1 FROM withdrawal l WHERE l.about_id = w.about_id AND l.id > w.id);

-- Readings that count: not corrected, not one of several contested replacements, not of a file that was taken back.
DROP VIEW reading_that_counts;
CREATE VIEW reading_that_counts AS
  SELECT r.id, coalesce(r.item_id, (SELECT t.of_id FROM tool t WHERE t.id = r.tool_id)) AS subject_id,
         r.feature_id, r.value
  FROM reading r
  WHERE NOT EXISTS (SELECT 1 FROM supersede s WHERE s.target_id = r.id)
    AND NOT EXISTS (SELECT 1 FROM supersede s WHERE s.replacement_id = r.id AND NOT EXISTS (
          SELECT 1 FROM supersede_in_force f WHERE f.target_id = s.target_id AND f.replacement_id = r.id))
    AND r.setup_id NOT IN (SELECT b.id FROM setup_taken_back b);

PRAGMA user_version = 9;
