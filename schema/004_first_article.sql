-- First articles: report snapshots, imports, what cannot be measured, re-aligned castings, datum targets, accepted cuts.
-- Lengths are mm of the casting unless the name says tool. job_of_id names the first version of a job.

-- A report as it was given out: the frontier it saw ({device hex: last seq} as JSON), its settings, and its content
-- (zlib, base64) with the hash of the plain text, so that it can be made again and compared.
CREATE TABLE report_snapshot (
  id            BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  paper         TEXT NOT NULL CHECK (length(paper) BETWEEN 1 AND 40),
  job_of_id     BLOB NOT NULL REFERENCES job(id),
  lot_id        BLOB REFERENCES lot(id),
  frontier      TEXT NOT NULL CHECK (length(frontier) BETWEEN 1 AND 100000),
  rules         TEXT NOT NULL CHECK (length(rules) BETWEEN 1 AND 40),
  program       TEXT NOT NULL CHECK (length(program) BETWEEN 1 AND 40),
  tables_sha256 TEXT NOT NULL CHECK (length(tables_sha256) BETWEEN 1 AND 64),
  settings      TEXT NOT NULL CHECK (length(settings) BETWEEN 1 AND 4000),
  output_sha256 TEXT NOT NULL CHECK (length(output_sha256) BETWEEN 1 AND 64),
  output        TEXT NOT NULL CHECK (length(output) BETWEEN 1 AND 50000000)
) STRICT, WITHOUT ROWID;
CREATE INDEX report_snapshot_job ON report_snapshot (job_of_id, id);
CREATE INDEX report_snapshot_lot ON report_snapshot (lot_id) WHERE lot_id IS NOT NULL;
CREATE TRIGGER report_snapshot_no_update BEFORE UPDATE ON report_snapshot
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER report_snapshot_no_delete BEFORE DELETE ON report_snapshot
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER report_snapshot_no_replace BEFORE INSERT ON report_snapshot
  WHEN EXISTS (SELECT 1 FROM report_snapshot WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- How the columns of one kind of file are to be read (settings as JSON); found again by the hash of its headings.
-- The newest for a signature counts.
CREATE TABLE import_mapping (
  id        BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  job_of_id BLOB REFERENCES job(id),
  signature TEXT NOT NULL CHECK (length(signature) BETWEEN 1 AND 64),
  title     TEXT NOT NULL CHECK (length(title) BETWEEN 1 AND 120),
  settings  TEXT NOT NULL CHECK (length(settings) BETWEEN 1 AND 100000)
) STRICT, WITHOUT ROWID;
CREATE INDEX import_mapping_job ON import_mapping (job_of_id) WHERE job_of_id IS NOT NULL;
CREATE INDEX import_mapping_signature ON import_mapping (signature, id);
CREATE TRIGGER import_mapping_no_update BEFORE UPDATE ON import_mapping
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER import_mapping_no_delete BEFORE DELETE ON import_mapping
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER import_mapping_no_replace BEFORE INSERT ON import_mapping
  WHEN EXISTS (SELECT 1 FROM import_mapping WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- A file whose readings were taken in; the same bytes are not taken twice. Its readings lie in the session.
CREATE TABLE import_file (
  id         BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  sha256     TEXT NOT NULL CHECK (length(sha256) BETWEEN 1 AND 64),
  shown_name TEXT NOT NULL CHECK (length(shown_name) BETWEEN 1 AND 120),
  job_of_id  BLOB NOT NULL REFERENCES job(id),
  session_id BLOB REFERENCES session(id) DEFERRABLE INITIALLY DEFERRED,
  mapping_id BLOB REFERENCES import_mapping(id) DEFERRABLE INITIALLY DEFERRED,
  readings   INTEGER NOT NULL CHECK (readings >= 0)
) STRICT, WITHOUT ROWID;
CREATE INDEX import_file_sha256 ON import_file (sha256);
CREATE INDEX import_file_job ON import_file (job_of_id);
CREATE INDEX import_file_session ON import_file (session_id) WHERE session_id IS NOT NULL;
CREATE INDEX import_file_mapping ON import_file (mapping_id) WHERE mapping_id IS NOT NULL;
CREATE TRIGGER import_file_no_update BEFORE UPDATE ON import_file
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER import_file_no_delete BEFORE DELETE ON import_file
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER import_file_no_replace BEFORE INSERT ON import_file
  WHEN EXISTS (SELECT 1 FROM import_file WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- A feature that cannot be measured, on one casting or (item_id NULL) on any, and why; holds 0 takes it back.
CREATE TABLE not_measurable (
  id         BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  feature_id BLOB NOT NULL REFERENCES feature(id),
  item_id    BLOB REFERENCES item(id),
  reason     TEXT NOT NULL CHECK (length(reason) BETWEEN 1 AND 400),
  holds      INTEGER NOT NULL CHECK (holds IN (0, 1))
) STRICT, WITHOUT ROWID;
CREATE INDEX not_measurable_feature ON not_measurable (feature_id);
CREATE INDEX not_measurable_item ON not_measurable (item_id) WHERE item_id IS NOT NULL;
CREATE TRIGGER not_measurable_no_update BEFORE UPDATE ON not_measurable
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER not_measurable_no_delete BEFORE DELETE ON not_measurable
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER not_measurable_no_replace BEFORE INSERT ON not_measurable
  WHEN EXISTS (SELECT 1 FROM not_measurable WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- A casting that sat tilted or whose datum target was ground: sizes along axis are turned back by slope (mm for each mm
-- along the other axis, about pivot_mm). Readings stay as they are; the last one for a casting and axis counts.
CREATE TABLE realigned (
  id       BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  item_id  BLOB NOT NULL REFERENCES item(id),
  axis     TEXT NOT NULL CHECK (axis IN ('x', 'y', 'z')),
  along    TEXT NOT NULL CHECK (along IN ('x', 'y', 'z') AND along <> axis),
  pivot_mm REAL NOT NULL CHECK (abs(pivot_mm) < 1e5),
  slope    REAL NOT NULL CHECK (abs(slope) <= 0.1),
  u_slope  REAL NOT NULL CHECK (u_slope >= 0 AND u_slope < 1),
  why      TEXT NOT NULL CHECK (length(why) BETWEEN 1 AND 400),
  holds    INTEGER NOT NULL CHECK (holds IN (0, 1))
) STRICT, WITHOUT ROWID;
CREATE INDEX realigned_item ON realigned (item_id);
CREATE TRIGGER realigned_no_update BEFORE UPDATE ON realigned
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER realigned_no_delete BEFORE DELETE ON realigned
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER realigned_no_replace BEFORE INSERT ON realigned
  WHEN EXISTS (SELECT 1 FROM realigned WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- Where the casting is held while it is measured and machined: the axis that a target holds, and its place.
-- The last one of a label counts; holds 0 takes it back.
CREATE TABLE datum_target (
  id        BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  job_of_id BLOB NOT NULL REFERENCES job(id),
  label     TEXT NOT NULL CHECK (length(label) BETWEEN 1 AND 20),
  name      TEXT CHECK (length(name) BETWEEN 1 AND 80),
  axis      TEXT NOT NULL CHECK (axis IN ('x', 'y', 'z')),
  x_mm      REAL CHECK (abs(x_mm) < 1e5),
  y_mm      REAL CHECK (abs(y_mm) < 1e5),
  z_mm      REAL CHECK (abs(z_mm) < 1e5),
  holds     INTEGER NOT NULL CHECK (holds IN (0, 1))
) STRICT, WITHOUT ROWID;
CREATE INDEX datum_target_job ON datum_target (job_of_id);
CREATE TRIGGER datum_target_no_update BEFORE UPDATE ON datum_target
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER datum_target_no_delete BEFORE DELETE ON datum_target
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER datum_target_no_replace BEFORE INSERT ON datum_target
  WHEN EXISTS (SELECT 1 FROM datum_target WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- A cut of the list that was taken over as work. change, low and high are mm at the tool (a fraction for contraction).
CREATE TABLE cut_accepted (
  id            BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  job_of_id     BLOB NOT NULL REFERENCES job(id),
  lot_id        BLOB REFERENCES lot(id),
  tool_id       BLOB REFERENCES tool(id),
  tool          TEXT NOT NULL CHECK (length(tool) BETWEEN 1 AND 120),
  cause         TEXT NOT NULL CHECK (length(cause) BETWEEN 1 AND 200),
  axis          TEXT NOT NULL CHECK (axis IN ('x', 'y', 'z', 'all', 'none', 'oblique')),
  change_mm     REAL NOT NULL CHECK (abs(change_mm) < 1e5),
  low_mm        REAL NOT NULL CHECK (abs(low_mm) < 1e5),
  high_mm       REAL NOT NULL CHECK (abs(high_mm) < 1e5),
  words         TEXT NOT NULL CHECK (length(words) BETWEEN 1 AND 400),
  casting_words TEXT CHECK (length(casting_words) BETWEEN 1 AND 400),
  CHECK (low_mm <= high_mm)
) STRICT, WITHOUT ROWID;
CREATE INDEX cut_accepted_job ON cut_accepted (job_of_id, id);
CREATE INDEX cut_accepted_lot ON cut_accepted (lot_id) WHERE lot_id IS NOT NULL;
CREATE INDEX cut_accepted_tool ON cut_accepted (tool_id) WHERE tool_id IS NOT NULL;
CREATE TRIGGER cut_accepted_no_update BEFORE UPDATE ON cut_accepted
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER cut_accepted_no_delete BEFORE DELETE ON cut_accepted
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER cut_accepted_no_replace BEFORE INSERT ON cut_accepted
  WHEN EXISTS (SELECT 1 FROM cut_accepted WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- What an accepted cut promises for a feature of the next casting; tool_feature_id is the new target where it moved.
CREATE TABLE cut_promise (
  id              BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  cut_id          BLOB NOT NULL REFERENCES cut_accepted(id),
  feature_id      BLOB NOT NULL REFERENCES feature(id),
  tool_feature_id BLOB REFERENCES tool_feature(id) DEFERRABLE INITIALLY DEFERRED,
  before_mm       REAL NOT NULL CHECK (abs(before_mm) < 1e5),
  promised_mm     REAL NOT NULL CHECK (abs(promised_mm) < 1e5),
  u_mm            REAL NOT NULL CHECK (u_mm >= 0 AND u_mm < 1e5)
) STRICT, WITHOUT ROWID;
CREATE INDEX cut_promise_cut ON cut_promise (cut_id);
CREATE INDEX cut_promise_feature ON cut_promise (feature_id);
CREATE INDEX cut_promise_tool_feature ON cut_promise (tool_feature_id) WHERE tool_feature_id IS NOT NULL;
CREATE TRIGGER cut_promise_no_update BEFORE UPDATE ON cut_promise
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER cut_promise_no_delete BEFORE DELETE ON cut_promise
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER cut_promise_no_replace BEFORE INSERT ON cut_promise
  WHEN EXISTS (SELECT 1 FROM cut_promise WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

PRAGMA user_version = 4;
