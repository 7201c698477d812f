-- Proving: sticks or cores tried in a mould off the pattern or in the closed tool, and a trial closing at the foundry.
-- A mould off the pattern is a tool of its own, so the table of tools is made again; its rows stay as they are.

DROP VIEW reading_that_counts;
CREATE TABLE tool_again (
  id              BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  of_id           BLOB NOT NULL REFERENCES tool(id) DEFERRABLE INITIALLY DEFERRED,
  replaces_id     BLOB REFERENCES tool(id) DEFERRABLE INITIALLY DEFERRED,
  job_of_id       BLOB NOT NULL REFERENCES job(id),
  kind            TEXT NOT NULL CHECK (kind IN ('pattern_cope', 'pattern_drag', 'core_stick', 'core_box', 'loose_piece',
                    'master', 'production_pattern', 'gauge_template', 'mould', 'other')),
  label           TEXT NOT NULL CHECK (length(label) BETWEEN 1 AND 60),
  core_id         BLOB REFERENCES core(id),
  material        TEXT NOT NULL CHECK (length(material) BETWEEN 1 AND 60),
  expansion_per_c REAL CHECK (abs(expansion_per_c) < 0.01),
  made_from_id    BLOB REFERENCES tool(id) DEFERRABLE INITIALLY DEFERRED,   -- the stick a box was cast off
  resin_r         REAL CHECK (resin_r BETWEEN -0.05 AND 0.10),
  resin_u         REAL CHECK (resin_u BETWEEN 0 AND 1),
  second_a        REAL CHECK (second_a BETWEEN -0.05 AND 0.10),
  second_u        REAL CHECK (second_u BETWEEN 0 AND 1)
) STRICT, WITHOUT ROWID;
INSERT INTO tool_again SELECT * FROM tool;
DROP TABLE tool;
ALTER TABLE tool_again RENAME TO tool;
CREATE INDEX tool_of ON tool (of_id);
CREATE INDEX tool_replaces ON tool (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX tool_job ON tool (job_of_id);
CREATE INDEX tool_core ON tool (core_id) WHERE core_id IS NOT NULL;
CREATE INDEX tool_made_from ON tool (made_from_id) WHERE made_from_id IS NOT NULL;
CREATE TRIGGER tool_no_update BEFORE UPDATE ON tool
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER tool_no_delete BEFORE DELETE ON tool
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER tool_no_replace BEFORE INSERT ON tool
  WHEN EXISTS (SELECT 1 FROM tool WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- Readings that count: not corrected, not one of several contested replacements, not of a file that was taken back.
CREATE VIEW reading_that_counts AS
  SELECT r.id, coalesce(r.item_id, (SELECT t.of_id FROM tool t WHERE t.id = r.tool_id)) AS subject_id,
         r.feature_id, r.value
  FROM reading r
  WHERE NOT EXISTS (SELECT 1 FROM supersede s WHERE s.target_id = r.id)
    AND NOT EXISTS (SELECT 1 FROM supersede s WHERE s.replacement_id = r.id AND NOT EXISTS (
          SELECT 1 FROM supersede_in_force f WHERE f.target_id = s.target_id AND f.replacement_id = r.id))
    AND r.setup_id NOT IN (SELECT b.id FROM setup_taken_back b);

-- One trial: what was put into which mould, on which day, by whom.
CREATE TABLE proving (
  id             BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  of_id          BLOB NOT NULL REFERENCES proving(id) DEFERRABLE INITIALLY DEFERRED,
  replaces_id    BLOB REFERENCES proving(id) DEFERRABLE INITIALLY DEFERRED,
  job_of_id      BLOB NOT NULL REFERENCES job(id),
  sort           TEXT NOT NULL CHECK (sort IN ('trying_in', 'trial_closing')),
  inside         TEXT NOT NULL CHECK (inside IN ('sticks', 'cores')),
  tool_of_id     BLOB REFERENCES tool(id),        -- the mould off the pattern, or the tool that was closed
  mould          TEXT CHECK (length(mould) BETWEEN 1 AND 40),   -- as the foundry marked it
  place          TEXT CHECK (length(place) BETWEEN 1 AND 120),
  who            TEXT NOT NULL CHECK (length(who) BETWEEN 1 AND 80),
  on_date        TEXT NOT NULL CHECK (on_date GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  order_followed TEXT CHECK (order_followed IN ('yes', 'no')),
  order_said     TEXT CHECK (length(order_said) BETWEEN 1 AND 200),   -- how they went in where it was otherwise
  edition        TEXT CHECK (length(edition) BETWEEN 1 AND 20),       -- of the checklist
  holds          INTEGER NOT NULL CHECK (holds IN (0, 1)),
  note           TEXT CHECK (length(note) BETWEEN 1 AND 1000)
) STRICT, WITHOUT ROWID;
CREATE INDEX proving_of ON proving (of_id);
CREATE INDEX proving_replaces ON proving (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX proving_job ON proving (job_of_id);
CREATE INDEX proving_tool ON proving (tool_of_id) WHERE tool_of_id IS NOT NULL;
CREATE TRIGGER proving_no_update BEFORE UPDATE ON proving
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER proving_no_delete BEFORE DELETE ON proving
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER proving_no_replace BEFORE INSERT ON proving
  WHEN EXISTS (SELECT 1 FROM proving WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- One line of its checklist; lines belong to one version of the trial. Sizes are mm in the mould, u one standard
-- uncertainty where somebody said it. tool_of_id: the stick that was tried, or the box that the core came from.
CREATE TABLE proving_line (
  id            BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  proving_id    BLOB NOT NULL REFERENCES proving(id),
  ord           INTEGER NOT NULL CHECK (ord > 0),
  sort          TEXT NOT NULL CHECK (sort IN ('core', 'fit', 'wall', 'closing', 'remark')),
  core_of_id    BLOB REFERENCES core(id),
  tool_of_id    BLOB REFERENCES tool(id),
  fit_of_id     BLOB REFERENCES fit(id),
  feature_id    BLOB REFERENCES feature(id),
  what          TEXT CHECK (length(what) BETWEEN 1 AND 200),
  result        TEXT CHECK (result IN ('goes', 'tight', 'rubs', 'loose', 'stops')),
  value         REAL CHECK (abs(value) < 1e5),
  typed         TEXT CHECK (length(typed) BETWEEN 1 AND 64),
  typed_unit    TEXT CHECK (length(typed_unit) BETWEEN 1 AND 12),
  u_mm          REAL CHECK (u_mm > 0 AND u_mm < 1e5),
  way           TEXT CHECK (length(way) BETWEEN 1 AND 40),
  instrument_of_id BLOB REFERENCES instrument(id),
  words         TEXT CHECK (length(words) BETWEEN 1 AND 400),
  CHECK ((value IS NULL) = (typed IS NULL)),
  CHECK (sort <> 'core' OR core_of_id IS NOT NULL),
  CHECK (sort <> 'fit' OR fit_of_id IS NOT NULL),
  CHECK (sort <> 'wall' OR feature_id IS NOT NULL),
  CHECK (sort = 'core' OR value IS NOT NULL OR result IS NOT NULL OR words IS NOT NULL),
  UNIQUE (proving_id, ord)
) STRICT, WITHOUT ROWID;
CREATE INDEX proving_line_core ON proving_line (core_of_id) WHERE core_of_id IS NOT NULL;
CREATE INDEX proving_line_tool ON proving_line (tool_of_id) WHERE tool_of_id IS NOT NULL;
CREATE INDEX proving_line_fit ON proving_line (fit_of_id) WHERE fit_of_id IS NOT NULL;
CREATE INDEX proving_line_feature ON proving_line (feature_id) WHERE feature_id IS NOT NULL;
CREATE INDEX proving_line_instrument ON proving_line (instrument_of_id) WHERE instrument_of_id IS NOT NULL;
CREATE TRIGGER proving_line_no_update BEFORE UPDATE ON proving_line
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER proving_line_no_delete BEFORE DELETE ON proving_line
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER proving_line_no_replace BEFORE INSERT ON proving_line
  WHEN EXISTS (SELECT 1 FROM proving_line WHERE id = NEW.id OR (proving_id = NEW.proving_id AND ord = NEW.ord))
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

PRAGMA user_version = 12;
