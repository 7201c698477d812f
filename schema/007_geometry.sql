-- Where things stand in the mould: bodies of cores, the mould's outline, the parting along any axis, where across its axis a
-- size is taken. What was withdrawn and which two rows are one thing, a machine's law as the customer stated it, how a gauge
-- speaks. Columns are added at the end: rows written before keep their hashes.

-- Where across its axis the size is taken, casting mm. nominal_known 0: a sample casting without a drawing, the size is
-- what its readings say. sheet, zone and characteristic are the drawing's own words.
ALTER TABLE feature ADD COLUMN at_x REAL CHECK (abs(at_x) < 1e5);
ALTER TABLE feature ADD COLUMN at_y REAL CHECK (abs(at_y) < 1e5);
ALTER TABLE feature ADD COLUMN at_z REAL CHECK (abs(at_z) < 1e5);
ALTER TABLE feature ADD COLUMN nominal_known INTEGER NOT NULL DEFAULT 1 CHECK (nominal_known IN (0, 1));
ALTER TABLE feature ADD COLUMN sheet TEXT CHECK (length(sheet) BETWEEN 1 AND 20);
ALTER TABLE feature ADD COLUMN zone TEXT CHECK (length(zone) BETWEEN 1 AND 20);
ALTER TABLE feature ADD COLUMN characteristic TEXT CHECK (length(characteristic) BETWEEN 1 AND 60);

-- 1: somebody said how thick the wash is here, also when it is nought.
ALTER TABLE feature_end ADD COLUMN coat_said INTEGER NOT NULL DEFAULT 0 CHECK (coat_said IN (0, 1));

-- Why it left with points of its check still open.
ALTER TABLE shipment ADD COLUMN why_open TEXT CHECK (length(why_open) BETWEEN 1 AND 400);

-- What people call the two ends of a core, along which axis: inlet and outlet along x.
ALTER TABLE core_detail ADD COLUMN low_end TEXT CHECK (length(low_end) BETWEEN 1 AND 40);
ALTER TABLE core_detail ADD COLUMN high_end TEXT CHECK (length(high_end) BETWEEN 1 AND 40);
ALTER TABLE core_detail ADD COLUMN ends_axis TEXT CHECK (ends_axis IN ('x', 'y', 'z'));

-- A slow hash of the person's PIN for acts that decide, with its salt and its cost.
ALTER TABLE person ADD COLUMN pin_hash TEXT CHECK (length(pin_hash) BETWEEN 1 AND 200);

-- One box of a core's body, mm of the casting as drawn; a core may have several.
CREATE TABLE core_body (
  id          BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  of_id       BLOB NOT NULL REFERENCES core_body(id) DEFERRABLE INITIALLY DEFERRED,
  replaces_id BLOB REFERENCES core_body(id) DEFERRABLE INITIALLY DEFERRED,
  core_of_id  BLOB NOT NULL REFERENCES core(id),
  ord         INTEGER NOT NULL,
  x0          REAL NOT NULL CHECK (abs(x0) < 1e5),
  x1          REAL NOT NULL CHECK (abs(x1) < 1e5),
  y0          REAL NOT NULL CHECK (abs(y0) < 1e5),
  y1          REAL NOT NULL CHECK (abs(y1) < 1e5),
  z0          REAL NOT NULL CHECK (abs(z0) < 1e5),
  z1          REAL NOT NULL CHECK (abs(z1) < 1e5),
  active      INTEGER NOT NULL CHECK (active IN (0, 1)),
  note        TEXT CHECK (length(note) BETWEEN 1 AND 400),
  CHECK (x0 < x1 AND y0 < y1 AND z0 < z1)
) STRICT, WITHOUT ROWID;
CREATE INDEX core_body_of ON core_body (of_id);
CREATE INDEX core_body_replaces ON core_body (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX core_body_core ON core_body (core_of_id);

-- The box round the casting in its mould, mm as drawn.
CREATE TABLE mould_outline (
  id          BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  of_id       BLOB NOT NULL REFERENCES mould_outline(id) DEFERRABLE INITIALLY DEFERRED,
  replaces_id BLOB REFERENCES mould_outline(id) DEFERRABLE INITIALLY DEFERRED,
  job_of_id   BLOB NOT NULL REFERENCES job(id),
  x0          REAL NOT NULL CHECK (abs(x0) < 1e5),
  x1          REAL NOT NULL CHECK (abs(x1) < 1e5),
  y0          REAL NOT NULL CHECK (abs(y0) < 1e5),
  y1          REAL NOT NULL CHECK (abs(y1) < 1e5),
  z0          REAL NOT NULL CHECK (abs(z0) < 1e5),
  z1          REAL NOT NULL CHECK (abs(z1) < 1e5),
  active      INTEGER NOT NULL CHECK (active IN (0, 1)),
  CHECK (x0 < x1 AND y0 < y1 AND z0 < z1)
) STRICT, WITHOUT ROWID;
CREATE INDEX mould_outline_of ON mould_outline (of_id);
CREATE INDEX mould_outline_replaces ON mould_outline (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX mould_outline_job ON mould_outline (job_of_id);

-- Where the mould parts: its halves lie either side along this axis. A parting is said as a whole, with its steps.
CREATE TABLE parting (
  id          BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  of_id       BLOB NOT NULL REFERENCES parting(id) DEFERRABLE INITIALLY DEFERRED,
  replaces_id BLOB REFERENCES parting(id) DEFERRABLE INITIALLY DEFERRED,
  job_of_id   BLOB NOT NULL REFERENCES job(id),
  axis        TEXT NOT NULL CHECK (axis IN ('x', 'y', 'z')),
  active      INTEGER NOT NULL CHECK (active IN (0, 1)),
  note        TEXT CHECK (length(note) BETWEEN 1 AND 400)
) STRICT, WITHOUT ROWID;
CREATE INDEX parting_of ON parting (of_id);
CREATE INDEX parting_replaces ON parting (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX parting_job ON parting (job_of_id);

-- One step of a parting, mm as drawn: its place along the parting's axis, from where to where along another; no other
-- axis: everywhere.
CREATE TABLE parting_step (
  id         BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  parting_id BLOB NOT NULL REFERENCES parting(id),
  ord        INTEGER NOT NULL,
  place_mm   REAL NOT NULL CHECK (abs(place_mm) < 1e5),
  along      TEXT CHECK (along IN ('x', 'y', 'z')),
  from_mm    REAL CHECK (abs(from_mm) < 1e5),
  to_mm      REAL CHECK (abs(to_mm) < 1e5),
  CHECK ((along IS NULL) = (from_mm IS NULL) AND (along IS NULL) = (to_mm IS NULL)),
  CHECK (from_mm < to_mm),
  UNIQUE (parting_id, ord)
) STRICT, WITHOUT ROWID;

-- One point of the law that the customer states for a machine: its capacity, in the passage's unit, at an area.
CREATE TABLE passage_point (
  id         BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  passage_id BLOB NOT NULL REFERENCES passage(id),
  ord        INTEGER NOT NULL,
  area_mm2   REAL NOT NULL CHECK (area_mm2 > 0 AND area_mm2 < 1e9),
  flow       REAL NOT NULL CHECK (flow > 0 AND flow < 1e9),
  UNIQUE (passage_id, ord)
) STRICT, WITHOUT ROWID;

-- A thing (kind number and id of its first version) taken out, or taken back in; the newest row holds.
CREATE TABLE withdrawal (
  id         BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  about_kind INTEGER NOT NULL CHECK (about_kind > 0),
  about_id   BLOB NOT NULL CHECK (length(about_id) = 16),
  state      TEXT NOT NULL CHECK (state IN ('withdrawn', 'back')),
  why        TEXT NOT NULL CHECK (length(why) BETWEEN 1 AND 400)
) STRICT, WITHOUT ROWID;
CREATE INDEX withdrawal_about ON withdrawal (about_id, id);

-- Two rows (first versions) that are one thing, such as a person entered at two benches, or after all are not; the newest
-- row about a pair holds.
CREATE TABLE same_thing (
  id         BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  about_kind INTEGER NOT NULL CHECK (about_kind > 0),
  this_id    BLOB NOT NULL CHECK (length(this_id) = 16),
  that_id    BLOB NOT NULL CHECK (length(that_id) = 16),
  state      TEXT NOT NULL CHECK (state IN ('same', 'apart')),
  why        TEXT CHECK (length(why) BETWEEN 1 AND 400),
  CHECK (this_id <> that_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX same_thing_this ON same_thing (this_id);
CREATE INDEX same_thing_that ON same_thing (that_id);

-- How a gauge speaks: what stands before and after its figure, which letters mean which unit, how it ends a reading, and
-- the line on which it is asked.
CREATE TABLE instrument_profile (
  id               BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  of_id            BLOB NOT NULL REFERENCES instrument_profile(id) DEFERRABLE INITIALLY DEFERRED,
  replaces_id      BLOB REFERENCES instrument_profile(id) DEFERRABLE INITIALLY DEFERRED,
  instrument_of_id BLOB NOT NULL REFERENCES instrument(id),
  prefix           TEXT CHECK (length(prefix) BETWEEN 1 AND 40),
  suffix           TEXT CHECK (length(suffix) BETWEEN 1 AND 40),
  unit_letters     TEXT CHECK (length(unit_letters) BETWEEN 1 AND 80),
  decimal_mark     TEXT CHECK (decimal_mark IN ('.', ',')),
  end_key          TEXT CHECK (end_key IN ('enter', 'tab', 'both')),
  request          TEXT CHECK (length(request) BETWEEN 1 AND 40),
  port             TEXT CHECK (length(port) BETWEEN 1 AND 120),
  speed            INTEGER CHECK (speed BETWEEN 50 AND 4000000),
  pattern          TEXT CHECK (length(pattern) BETWEEN 1 AND 200)
) STRICT, WITHOUT ROWID;
CREATE INDEX instrument_profile_of ON instrument_profile (of_id);
CREATE INDEX instrument_profile_replaces ON instrument_profile (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX instrument_profile_instrument ON instrument_profile (instrument_of_id);

CREATE TRIGGER core_body_no_update BEFORE UPDATE ON core_body
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER core_body_no_delete BEFORE DELETE ON core_body
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER core_body_no_replace BEFORE INSERT ON core_body
  WHEN EXISTS (SELECT 1 FROM core_body WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;
CREATE TRIGGER mould_outline_no_update BEFORE UPDATE ON mould_outline
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER mould_outline_no_delete BEFORE DELETE ON mould_outline
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER mould_outline_no_replace BEFORE INSERT ON mould_outline
  WHEN EXISTS (SELECT 1 FROM mould_outline WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;
CREATE TRIGGER parting_no_update BEFORE UPDATE ON parting
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER parting_no_delete BEFORE DELETE ON parting
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER parting_no_replace BEFORE INSERT ON parting
  WHEN EXISTS (SELECT 1 FROM parting WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;
CREATE TRIGGER parting_step_no_update BEFORE UPDATE ON parting_step
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER parting_step_no_delete BEFORE DELETE ON parting_step
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER parting_step_no_replace BEFORE INSERT ON parting_step
  WHEN EXISTS (SELECT 1 FROM parting_step WHERE id = NEW.id OR (parting_id = NEW.parting_id AND ord = NEW.ord))
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;
CREATE TRIGGER passage_point_no_update BEFORE UPDATE ON passage_point
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER passage_point_no_delete BEFORE DELETE ON passage_point
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER passage_point_no_replace BEFORE INSERT ON passage_point
  WHEN EXISTS (SELECT 1 FROM passage_point WHERE id = NEW.id OR (passage_id = NEW.passage_id AND ord = NEW.ord))
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;
CREATE TRIGGER withdrawal_no_update BEFORE UPDATE ON withdrawal
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER withdrawal_no_delete BEFORE DELETE ON withdrawal
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER withdrawal_no_replace BEFORE INSERT ON withdrawal
  WHEN EXISTS (SELECT 1 FROM withdrawal WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;
CREATE TRIGGER same_thing_no_update BEFORE UPDATE ON same_thing
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER same_thing_no_delete BEFORE DELETE ON same_thing
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER same_thing_no_replace BEFORE INSERT ON same_thing
  WHEN EXISTS (SELECT 1 FROM same_thing WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;
CREATE TRIGGER instrument_profile_no_update BEFORE UPDATE ON instrument_profile
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER instrument_profile_no_delete BEFORE DELETE ON instrument_profile
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER instrument_profile_no_replace BEFORE INSERT ON instrument_profile
  WHEN EXISTS (SELECT 1 FROM instrument_profile WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

PRAGMA user_version = 7;
