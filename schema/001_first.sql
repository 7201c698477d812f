-- The first schema of the record: jobs, drawings, tools, people, instruments, readings, and the chain that holds them.
-- Rows are added, never changed: three triggers on each recorded table refuse UPDATE, DELETE and INSERT OR REPLACE.
-- Lengths are mm, angles degrees, temperatures degC, ratios fractions; ids are UUIDv7 in 16 bytes.
-- Versioned tables carry of_id (the first version's id) and replaces_id (the version this one replaces).
-- Columns stand in the order that the chain's hashes use: a later migration may only add columns at the end.

-- One bench's file on one machine; a copied or restored file begins a new one.
CREATE TABLE device (
  id         BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  bench      TEXT NOT NULL CHECK (length(bench) BETWEEN 1 AND 80),
  shop_id    BLOB NOT NULL CHECK (length(shop_id) = 16),
  parent_id  BLOB REFERENCES device(id) DEFERRABLE INITIALLY DEFERRED,
  parent_seq INTEGER CHECK (parent_seq >= 0),
  why        TEXT NOT NULL CHECK (why IN ('new', 'restored', 'copied', 'salvaged')),
  program    TEXT NOT NULL CHECK (length(program) BETWEEN 1 AND 40),
  CHECK ((parent_id IS NULL) = (parent_seq IS NULL))
) STRICT, WITHOUT ROWID;
CREATE INDEX device_parent ON device (parent_id) WHERE parent_id IS NOT NULL;
CREATE TRIGGER device_no_update BEFORE UPDATE ON device
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER device_no_delete BEFORE DELETE ON device
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER device_no_replace BEFORE INSERT ON device
  WHEN EXISTS (SELECT 1 FROM device WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- Initials are a statement of who measured, not a login.
CREATE TABLE person (
  id          BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  of_id       BLOB NOT NULL REFERENCES person(id) DEFERRABLE INITIALLY DEFERRED,
  replaces_id BLOB REFERENCES person(id) DEFERRABLE INITIALLY DEFERRED,
  initials    TEXT NOT NULL CHECK (length(initials) BETWEEN 1 AND 8),
  name        TEXT CHECK (length(name) BETWEEN 1 AND 80),
  role        TEXT NOT NULL CHECK (role IN ('maker', 'inspector', 'lead', 'foundry', 'guest')),
  active      INTEGER NOT NULL CHECK (active IN (0, 1))
) STRICT, WITHOUT ROWID;
CREATE INDEX person_of ON person (of_id);
CREATE INDEX person_replaces ON person (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE TRIGGER person_no_update BEFORE UPDATE ON person
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER person_no_delete BEFORE DELETE ON person
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER person_no_replace BEFORE INSERT ON person
  WHEN EXISTS (SELECT 1 FROM person WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- The chain: one entry for each row of every recorded table, 1, 2, 3 ... per device without gaps.
-- hash = SHA-256(hash of the entry before || canonical bytes of this row).
CREATE TABLE entry (
  device_id BLOB NOT NULL REFERENCES device(id) DEFERRABLE INITIALLY DEFERRED,
  seq       INTEGER NOT NULL CHECK (seq > 0),
  kind      INTEGER NOT NULL,                  -- which table
  fmt       INTEGER NOT NULL,                  -- which list of its columns the hash was made from
  id        BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  at_us     INTEGER NOT NULL,                  -- microseconds UTC
  tz_min    INTEGER NOT NULL CHECK (tz_min BETWEEN -840 AND 840),
  by_id     BLOB REFERENCES person(id) DEFERRABLE INITIALLY DEFERRED,  -- NULL for readings: the setup names the person
  hash      BLOB NOT NULL CHECK (length(hash) = 32),
  PRIMARY KEY (device_id, seq)
) STRICT, WITHOUT ROWID;
CREATE INDEX entry_by ON entry (by_id) WHERE by_id IS NOT NULL;
CREATE TRIGGER entry_no_update BEFORE UPDATE ON entry
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER entry_no_delete BEFORE DELETE ON entry
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER entry_no_replace BEFORE INSERT ON entry
  WHEN EXISTS (SELECT 1 FROM entry WHERE id = NEW.id OR (device_id = NEW.device_id AND seq = NEW.seq))
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- One order. a_* is the planned contraction, tool / casting - 1, with standard uncertainty ua_*.
CREATE TABLE job (
  id           BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  of_id        BLOB NOT NULL REFERENCES job(id) DEFERRABLE INITIALLY DEFERRED,
  replaces_id  BLOB REFERENCES job(id) DEFERRABLE INITIALLY DEFERRED,
  number       TEXT NOT NULL CHECK (length(number) BETWEEN 1 AND 40),   -- not unique: two benches may open one number
  name         TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 120),
  alloy        TEXT CHECK (length(alloy) BETWEEN 1 AND 60),
  construction TEXT CHECK (length(construction) BETWEEN 1 AND 60),
  customer_ref TEXT CHECK (length(customer_ref) BETWEEN 1 AND 80),
  rule         TEXT NOT NULL CHECK (rule IN ('proof95', 'full_u', 'plain')),
  a_x          REAL NOT NULL CHECK (a_x BETWEEN -0.05 AND 0.10),
  a_y          REAL NOT NULL CHECK (a_y BETWEEN -0.05 AND 0.10),
  a_z          REAL NOT NULL CHECK (a_z BETWEEN -0.05 AND 0.10),
  ua_x         REAL NOT NULL CHECK (ua_x BETWEEN 0 AND 1),
  ua_y         REAL NOT NULL CHECK (ua_y BETWEEN 0 AND 1),
  ua_z         REAL NOT NULL CHECK (ua_z BETWEEN 0 AND 1),
  a_source     TEXT NOT NULL CHECK (length(a_source) BETWEEN 1 AND 200),
  tool_share   REAL NOT NULL CHECK (tool_share > 0 AND tool_share <= 1),
  tool_band    TEXT CHECK (length(tool_band) BETWEEN 1 AND 20)
) STRICT, WITHOUT ROWID;
CREATE INDEX job_of ON job (of_id);
CREATE INDEX job_replaces ON job (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX job_number ON job (number);
CREATE TRIGGER job_no_update BEFORE UPDATE ON job
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER job_no_delete BEFORE DELETE ON job
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER job_no_replace BEFORE INSERT ON job
  WHEN EXISTS (SELECT 1 FROM job WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- A job opened, waiting, closed; the last one counts.
CREATE TABLE job_state (
  id     BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  job_id BLOB NOT NULL REFERENCES job(id),
  state  TEXT NOT NULL CHECK (state IN ('open', 'waiting', 'closed', 'reopened')),
  why    TEXT CHECK (length(why) BETWEEN 1 AND 400)
) STRICT, WITHOUT ROWID;
CREATE INDEX job_state_job ON job_state (job_id);
CREATE TRIGGER job_state_no_update BEFORE UPDATE ON job_state
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER job_state_no_delete BEFORE DELETE ON job_state
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER job_state_no_replace BEFORE INSERT ON job_state
  WHEN EXISTS (SELECT 1 FROM job_state WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- One edition of the drawing; never rewritten once a reading names one of its features.
CREATE TABLE drawing_revision (
  id           BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  job_of_id    BLOB NOT NULL REFERENCES job(id),
  number       TEXT NOT NULL CHECK (length(number) BETWEEN 1 AND 60),
  rev          TEXT NOT NULL CHECK (length(rev) BETWEEN 1 AND 20),
  issued_on    TEXT CHECK (issued_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  default_band TEXT CHECK (length(default_band) BETWEEN 1 AND 60)
) STRICT, WITHOUT ROWID;
CREATE INDEX drawing_revision_job ON drawing_revision (job_of_id, id);
CREATE TRIGGER drawing_revision_no_update BEFORE UPDATE ON drawing_revision
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER drawing_revision_no_delete BEFORE DELETE ON drawing_revision
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER drawing_revision_no_replace BEFORE INSERT ON drawing_revision
  WHEN EXISTS (SELECT 1 FROM drawing_revision WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- One numbered core of the job.
CREATE TABLE core (
  id            BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  of_id         BLOB NOT NULL REFERENCES core(id) DEFERRABLE INITIALLY DEFERRED,
  replaces_id   BLOB REFERENCES core(id) DEFERRABLE INITIALLY DEFERRED,
  job_of_id     BLOB NOT NULL REFERENCES job(id),
  number        INTEGER NOT NULL CHECK (number BETWEEN 1 AND 999),
  name          TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 80),
  makes_surface INTEGER NOT NULL CHECK (makes_surface IN (0, 1)),   -- 0: it only locates other cores
  set_order     INTEGER CHECK (set_order BETWEEN 0 AND 999),
  volume_dm3    REAL CHECK (volume_dm3 BETWEEN 0 AND 1e6)
) STRICT, WITHOUT ROWID;
CREATE INDEX core_of ON core (of_id);
CREATE INDEX core_replaces ON core (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX core_job ON core (job_of_id);
CREATE TRIGGER core_no_update BEFORE UPDATE ON core
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER core_no_delete BEFORE DELETE ON core
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER core_no_replace BEFORE INSERT ON core
  WHEN EXISTS (SELECT 1 FROM core WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- One ballooned size of one drawing revision: the drawing's (finished) size and its limits, as sizes.
CREATE TABLE feature (
  id          BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  revision_id BLOB NOT NULL REFERENCES drawing_revision(id),
  same_as_id  BLOB REFERENCES feature(id) DEFERRABLE INITIALLY DEFERRED,   -- this feature in the revision before
  balloon     TEXT NOT NULL CHECK (length(balloon) BETWEEN 1 AND 20),
  name        TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 120),
  quantity    TEXT NOT NULL CHECK (quantity IN ('length', 'width', 'diameter', 'radius', 'depth', 'wall', 'step',
                'position', 'flatness', 'angle', 'temperature', 'attribute')),
  axis        TEXT NOT NULL CHECK (axis IN ('x', 'y', 'z', 'oblique', 'none')),
  dir_x       REAL CHECK (abs(dir_x) <= 1.000001),
  dir_y       REAL CHECK (abs(dir_y) <= 1.000001),
  dir_z       REAL CHECK (abs(dir_z) <= 1.000001),
  nominal     REAL NOT NULL CHECK (abs(nominal) < 1e5),
  lower       REAL CHECK (abs(lower) < 1e5),
  upper       REAL CHECK (abs(upper) < 1e5),
  band_source TEXT NOT NULL CHECK (length(band_source) BETWEEN 1 AND 120),
  scale       TEXT NOT NULL CHECK (scale IN ('cast', 'tool', 'layout')),
  machined    INTEGER NOT NULL CHECK (machined IN (0, 1)),
  draft_deg   REAL NOT NULL CHECK (abs(draft_deg) < 90),
  draft_h_mm  REAL NOT NULL CHECK (abs(draft_h_mm) < 1e5),
  a           REAL CHECK (a BETWEEN -0.05 AND 0.10),
  ua          REAL CHECK (ua BETWEEN 0 AND 1),
  note        TEXT CHECK (length(note) BETWEEN 1 AND 400),
  ord         INTEGER NOT NULL,
  CHECK (lower IS NULL OR upper IS NULL OR lower <= upper),
  UNIQUE (revision_id, balloon)
) STRICT, WITHOUT ROWID;
CREATE INDEX feature_same_as ON feature (same_as_id) WHERE same_as_id IS NOT NULL;
CREATE TRIGGER feature_no_update BEFORE UPDATE ON feature
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER feature_no_delete BEFORE DELETE ON feature
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER feature_no_replace BEFORE INSERT ON feature
  WHEN EXISTS (SELECT 1 FROM feature WHERE id = NEW.id OR (revision_id = NEW.revision_id AND balloon = NEW.balloon))
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- One end of a feature: what makes that surface, and the outward normal of the metal there (+1 along the axis).
CREATE TABLE feature_end (
  id         BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  feature_id BLOB NOT NULL REFERENCES feature(id),
  which      TEXT NOT NULL CHECK (which IN ('A', 'B')),
  core_id    BLOB REFERENCES core(id),
  half       TEXT CHECK (half IN ('cope', 'drag')),
  facing     INTEGER NOT NULL CHECK (facing IN (-1, 1)),
  coord_mm   REAL CHECK (abs(coord_mm) < 1e5),
  stock_mm   REAL NOT NULL CHECK (stock_mm >= 0 AND stock_mm < 1e5),
  coat_mm    REAL NOT NULL CHECK (coat_mm >= 0 AND coat_mm < 1e5),
  CHECK ((core_id IS NULL) <> (half IS NULL)),
  UNIQUE (feature_id, which)
) STRICT, WITHOUT ROWID;
CREATE INDEX feature_end_core ON feature_end (core_id) WHERE core_id IS NOT NULL;
CREATE TRIGGER feature_end_no_update BEFORE UPDATE ON feature_end
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER feature_end_no_delete BEFORE DELETE ON feature_end
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER feature_end_no_replace BEFORE INSERT ON feature_end
  WHEN EXISTS (SELECT 1 FROM feature_end WHERE id = NEW.id OR (feature_id = NEW.feature_id AND which = NEW.which))
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- A pattern half, core stick, core box, loose piece, master or production pattern.
CREATE TABLE tool (
  id              BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  of_id           BLOB NOT NULL REFERENCES tool(id) DEFERRABLE INITIALLY DEFERRED,
  replaces_id     BLOB REFERENCES tool(id) DEFERRABLE INITIALLY DEFERRED,
  job_of_id       BLOB NOT NULL REFERENCES job(id),
  kind            TEXT NOT NULL CHECK (kind IN ('pattern_cope', 'pattern_drag', 'core_stick', 'core_box', 'loose_piece',
                    'master', 'production_pattern', 'gauge_template', 'other')),
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

-- A feature as it stands on a tool, judged at tooling scale; a new contraction is a new version with its own steps.
CREATE TABLE tool_feature (
  id          BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  of_id       BLOB NOT NULL REFERENCES tool_feature(id) DEFERRABLE INITIALLY DEFERRED,
  replaces_id BLOB REFERENCES tool_feature(id) DEFERRABLE INITIALLY DEFERRED,
  tool_id     BLOB NOT NULL REFERENCES tool(id),
  feature_id  BLOB NOT NULL REFERENCES feature(id),
  sense       TEXT NOT NULL CHECK (sense IN ('metal', 'space', 'face')),
  lower       REAL CHECK (abs(lower) < 1e5),
  upper       REAL CHECK (abs(upper) < 1e5),
  band_source TEXT NOT NULL CHECK (length(band_source) BETWEEN 1 AND 120),
  CHECK (lower IS NULL OR upper IS NULL OR lower <= upper)
) STRICT, WITHOUT ROWID;
CREATE INDEX tool_feature_of ON tool_feature (of_id);
CREATE INDEX tool_feature_replaces ON tool_feature (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX tool_feature_tool ON tool_feature (tool_id);
CREATE INDEX tool_feature_feature ON tool_feature (feature_id);
CREATE TRIGGER tool_feature_no_update BEFORE UPDATE ON tool_feature
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER tool_feature_no_delete BEFORE DELETE ON tool_feature
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER tool_feature_no_replace BEFORE INSERT ON tool_feature
  WHEN EXISTS (SELECT 1 FROM tool_feature WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- One invertible step from the drawing size toward the tool size: a factor or an offset, with its u.
CREATE TABLE chain_step (
  id              BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  tool_feature_id BLOB NOT NULL REFERENCES tool_feature(id),
  ord             INTEGER NOT NULL,
  kind            TEXT NOT NULL CHECK (kind IN ('stock', 'draft', 'contraction', 'coat', 'resin', 'second_contraction',
                    'correction')),
  scale           REAL CHECK (scale BETWEEN 0.5 AND 2),
  offset_mm       REAL CHECK (abs(offset_mm) < 1e5),
  u               REAL NOT NULL CHECK (u >= 0 AND u < 1e5),
  source          TEXT NOT NULL CHECK (length(source) BETWEEN 1 AND 200),
  CHECK ((scale IS NULL) <> (offset_mm IS NULL)),
  UNIQUE (tool_feature_id, ord)
) STRICT, WITHOUT ROWID;
CREATE TRIGGER chain_step_no_update BEFORE UPDATE ON chain_step
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER chain_step_no_delete BEFORE DELETE ON chain_step
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER chain_step_no_replace BEFORE INSERT ON chain_step
  WHEN EXISTS (SELECT 1 FROM chain_step WHERE id = NEW.id OR (tool_feature_id = NEW.tool_feature_id AND ord = NEW.ord))
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- Castings or cores made together.
CREATE TABLE lot (
  id        BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  job_of_id BLOB NOT NULL REFERENCES job(id),
  label     TEXT NOT NULL CHECK (length(label) BETWEEN 1 AND 60),
  heat      TEXT CHECK (length(heat) BETWEEN 1 AND 40),
  poured_on TEXT CHECK (poured_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  quantity  INTEGER CHECK (quantity BETWEEN 0 AND 1000000000)
) STRICT, WITHOUT ROWID;
CREATE INDEX lot_job ON lot (job_of_id);
CREATE TRIGGER lot_no_update BEFORE UPDATE ON lot
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER lot_no_delete BEFORE DELETE ON lot
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER lot_no_replace BEFORE INSERT ON lot
  WHEN EXISTS (SELECT 1 FROM lot WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- One casting or one sand core that is measured; serial is text and never a path.
CREATE TABLE item (
  id              BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  job_of_id       BLOB NOT NULL REFERENCES job(id),
  kind            TEXT NOT NULL CHECK (kind IN ('casting', 'core')),
  serial          TEXT NOT NULL CHECK (length(serial) BETWEEN 1 AND 40),
  lot_id          BLOB REFERENCES lot(id),
  core_id         BLOB REFERENCES core(id),
  cavity          TEXT CHECK (length(cavity) BETWEEN 1 AND 20),
  material        TEXT CHECK (length(material) BETWEEN 1 AND 60),
  expansion_per_c REAL CHECK (abs(expansion_per_c) < 0.01)
) STRICT, WITHOUT ROWID;
CREATE INDEX item_job ON item (job_of_id, kind, serial);
CREATE INDEX item_lot ON item (lot_id) WHERE lot_id IS NOT NULL;
CREATE INDEX item_core ON item (core_id) WHERE core_id IS NOT NULL;
CREATE TRIGGER item_no_update BEFORE UPDATE ON item
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER item_no_delete BEFORE DELETE ON item
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER item_no_replace BEFORE INSERT ON item
  WHEN EXISTS (SELECT 1 FROM item WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- rule_scale of a contraction rule: true size = reading * (1 + rule_scale).
CREATE TABLE instrument (
  id              BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  of_id           BLOB NOT NULL REFERENCES instrument(id) DEFERRABLE INITIALLY DEFERRED,
  replaces_id     BLOB REFERENCES instrument(id) DEFERRABLE INITIALLY DEFERRED,
  label           TEXT NOT NULL CHECK (length(label) BETWEEN 1 AND 40),
  kind            TEXT NOT NULL CHECK (kind IN ('caliper', 'height_gauge', 'depth', 'micrometer', 'tape', 'rule',
                    'contraction_rule', 'ultrasonic', 'template', 'arm', 'thermometer', 'other')),
  serial          TEXT CHECK (length(serial) BETWEEN 1 AND 60),
  unit            TEXT NOT NULL CHECK (unit IN ('mm', 'in', 'deg', 'C')),
  resolution      REAL NOT NULL CHECK (resolution > 0 AND resolution < 1e5),   -- in `unit`, as are the ranges
  range_lo        REAL NOT NULL CHECK (abs(range_lo) < 1e6),
  range_hi        REAL NOT NULL CHECK (abs(range_hi) < 1e6),
  rule_scale      REAL NOT NULL CHECK (rule_scale BETWEEN -0.10 AND 0.10),
  expansion_per_c REAL CHECK (abs(expansion_per_c) < 0.01),
  jaw_mm          REAL CHECK (jaw_mm BETWEEN 0 AND 1e5)
) STRICT, WITHOUT ROWID;
CREATE INDEX instrument_of ON instrument (of_id);
CREATE INDEX instrument_replaces ON instrument (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE TRIGGER instrument_no_update BEFORE UPDATE ON instrument
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER instrument_no_delete BEFORE DELETE ON instrument
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER instrument_no_replace BEFORE INSERT ON instrument
  WHEN EXISTS (SELECT 1 FROM instrument WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- What a certificate said; error_mm (reading minus truth, as found) is stated, never applied.
CREATE TABLE calibration (
  id               BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  instrument_of_id BLOB NOT NULL REFERENCES instrument(id),
  done_on          TEXT NOT NULL CHECK (done_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  due_on           TEXT CHECK (due_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  result           TEXT NOT NULL CHECK (result IN ('pass', 'adjusted', 'fail')),
  u95_mm           REAL NOT NULL CHECK (u95_mm >= 0 AND u95_mm < 1e5),
  k                REAL NOT NULL CHECK (k > 0 AND k < 100),
  error_mm         REAL CHECK (abs(error_mm) < 1e5),
  reference        TEXT NOT NULL CHECK (length(reference) BETWEEN 1 AND 120)
) STRICT, WITHOUT ROWID;
CREATE INDEX calibration_instrument ON calibration (instrument_of_id, done_on);
CREATE TRIGGER calibration_no_update BEFORE UPDATE ON calibration
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER calibration_no_delete BEFORE DELETE ON calibration
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER calibration_no_replace BEFORE INSERT ON calibration
  WHEN EXISTS (SELECT 1 FROM calibration WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- One stay at the bench.
CREATE TABLE session (
  id          BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  kind        TEXT NOT NULL CHECK (kind IN ('tool', 'casting', 'core', 'gauge')),
  job_of_id   BLOB REFERENCES job(id),
  revision_id BLOB REFERENCES drawing_revision(id),
  title       TEXT CHECK (length(title) BETWEEN 1 AND 120)
) STRICT, WITHOUT ROWID;
CREATE INDEX session_job ON session (job_of_id) WHERE job_of_id IS NOT NULL;
CREATE INDEX session_revision ON session (revision_id) WHERE revision_id IS NOT NULL;
CREATE TRIGGER session_no_update BEFORE UPDATE ON session
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER session_no_delete BEFORE DELETE ON session
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER session_no_replace BEFORE INSERT ON session
  WHEN EXISTS (SELECT 1 FROM session WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- Who measures with what; a new row whenever any of it changes.
CREATE TABLE setup (
  id             BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  session_id     BLOB NOT NULL REFERENCES session(id),
  person_id      BLOB NOT NULL REFERENCES person(id),
  instrument_id  BLOB NOT NULL REFERENCES instrument(id),
  calibration_id BLOB REFERENCES calibration(id),
  work_c         REAL CHECK (work_c BETWEEN -40 AND 200),
  instrument_c   REAL CHECK (instrument_c BETWEEN -40 AND 200),
  moisture       REAL CHECK (moisture BETWEEN 0 AND 2),     -- of a wooden tool, fraction of its dry mass
  clock_doubt    INTEGER NOT NULL CHECK (clock_doubt IN (0, 1))   -- 1: the wall clock ran back
) STRICT, WITHOUT ROWID;
CREATE INDEX setup_session ON setup (session_id);
CREATE INDEX setup_person ON setup (person_id);
CREATE INDEX setup_instrument ON setup (instrument_id);
CREATE INDEX setup_calibration ON setup (calibration_id) WHERE calibration_id IS NOT NULL;
CREATE TRIGGER setup_no_update BEFORE UPDATE ON setup
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER setup_no_delete BEFORE DELETE ON setup
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER setup_no_replace BEFORE INSERT ON setup
  WHEN EXISTS (SELECT 1 FROM setup WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- One size as it was read, with the text as typed.
CREATE TABLE reading (
  id              BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  setup_id        BLOB NOT NULL REFERENCES setup(id),
  feature_id      BLOB NOT NULL REFERENCES feature(id),   -- of one drawing revision: the band it was judged against
  item_id         BLOB REFERENCES item(id),               -- a casting or a core ...
  tool_id         BLOB REFERENCES tool(id),               -- ... or a tool: exactly one
  tool_feature_id BLOB REFERENCES tool_feature(id),       -- its target and steps, when on a tool; no index: rows are
                                                          -- reached by tool and feature
  rep             INTEGER NOT NULL CHECK (rep BETWEEN 1 AND 999),
  value           REAL NOT NULL CHECK (abs(value) < 1e5),  -- mm, deg or degC, by feature.quantity
  typed           TEXT NOT NULL CHECK (length(typed) BETWEEN 1 AND 64),
  typed_unit      TEXT NOT NULL CHECK (length(typed_unit) BETWEEN 1 AND 12),
  slip            TEXT NOT NULL CHECK (slip IN ('none', 'asked_kept', 'asked_retyped')),
  CHECK ((item_id IS NULL) <> (tool_id IS NULL)),
  CHECK ((tool_id IS NULL) = (tool_feature_id IS NULL))
) STRICT, WITHOUT ROWID;
CREATE INDEX reading_feature ON reading (feature_id, id, value);   -- ids sort by time: a trend is one range scan
CREATE INDEX reading_setup ON reading (setup_id, id);
CREATE INDEX reading_item ON reading (item_id, id) WHERE item_id IS NOT NULL;
CREATE INDEX reading_tool ON reading (tool_id, id) WHERE tool_id IS NOT NULL;
CREATE TRIGGER reading_no_update BEFORE UPDATE ON reading
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER reading_no_delete BEFORE DELETE ON reading
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER reading_no_replace BEFORE INSERT ON reading
  WHEN EXISTS (SELECT 1 FROM reading WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- A further fact that takes a reading out of count: void when there is no replacement.
CREATE TABLE supersede (
  id             BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  target_id      BLOB NOT NULL REFERENCES reading(id) DEFERRABLE INITIALLY DEFERRED,
  replacement_id BLOB REFERENCES reading(id) DEFERRABLE INITIALLY DEFERRED,
  settles_id     BLOB REFERENCES supersede(id) DEFERRABLE INITIALLY DEFERRED,   -- the later of two answers
  reason         TEXT NOT NULL CHECK (reason IN ('misread', 'wrong_feature', 'wrong_item', 'wrong_unit',
                   'wrong_instrument', 'zero_shift', 'duplicate', 'test', 'other')),
  why            TEXT NOT NULL CHECK (length(why) BETWEEN 1 AND 400),
  CHECK (replacement_id <> target_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX supersede_target ON supersede (target_id);
CREATE INDEX supersede_replacement ON supersede (replacement_id) WHERE replacement_id IS NOT NULL;
CREATE INDEX supersede_settles ON supersede (settles_id) WHERE settles_id IS NOT NULL;
CREATE TRIGGER supersede_no_update BEFORE UPDATE ON supersede
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER supersede_no_delete BEFORE DELETE ON supersede
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER supersede_no_replace BEFORE INSERT ON supersede
  WHEN EXISTS (SELECT 1 FROM supersede WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- Free text about any recorded thing; about_kind is the number of its table. No foreign key: many tables.
CREATE TABLE note (
  id         BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  about_kind INTEGER NOT NULL,
  about_id   BLOB NOT NULL CHECK (length(about_id) = 16),
  text       TEXT NOT NULL CHECK (length(text) BETWEEN 1 AND 4000)
) STRICT, WITHOUT ROWID;
CREATE INDEX note_about ON note (about_id);
CREATE TRIGGER note_no_update BEFORE UPDATE ON note
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER note_no_delete BEFORE DELETE ON note
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER note_no_replace BEFORE INSERT ON note
  WHEN EXISTS (SELECT 1 FROM note WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- Which of several answers to one reading is in force: the last that settles, or the only one. None while contested.
CREATE VIEW supersede_in_force AS
  SELECT s.id, s.target_id, s.replacement_id FROM supersede s
  WHERE s.id = coalesce(
    (SELECT max(x.id) FROM supersede x WHERE x.target_id = s.target_id AND x.settles_id IS NOT NULL),
    CASE WHEN (SELECT count(*) FROM supersede x WHERE x.target_id = s.target_id) = 1 THEN s.id END);

-- Readings that count: not corrected, and not one of several contested replacements.
CREATE VIEW reading_that_counts AS
  SELECT r.id, coalesce(r.item_id, (SELECT t.of_id FROM tool t WHERE t.id = r.tool_id)) AS subject_id,
         r.feature_id, r.value
  FROM reading r
  WHERE NOT EXISTS (SELECT 1 FROM supersede s WHERE s.target_id = r.id)
    AND NOT EXISTS (SELECT 1 FROM supersede s WHERE s.replacement_id = r.id AND NOT EXISTS (
          SELECT 1 FROM supersede_in_force f WHERE f.target_id = s.target_id AND f.replacement_id = r.id));

-- A cache, not a record: it may be dropped and rebuilt at any time. One row for each tool or item and feature.
CREATE TABLE cache_summary (
  subject_id BLOB NOT NULL,       -- tool.of_id or item.id
  feature_id BLOB NOT NULL,
  n          INTEGER NOT NULL,
  mean       REAL NOT NULL,
  m2         REAL NOT NULL,       -- sum of squared deviations from the mean
  min        REAL NOT NULL,
  max        REAL NOT NULL,
  last_id    BLOB NOT NULL,
  last_value REAL NOT NULL,
  last_at_us INTEGER NOT NULL,
  PRIMARY KEY (subject_id, feature_id)
) STRICT, WITHOUT ROWID;

PRAGMA application_id = 0x49545549;
PRAGMA user_version = 1;
