-- Many benches, one shop. Two benches may give one balloon of a drawing to two features: both are kept and the clash is
-- shown, so the pair is no key any more. The table is made again without it; its rows stay as they are.

CREATE TABLE feature_again (
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
  raw_lower   REAL CHECK (abs(raw_lower) < 1e5),
  raw_upper   REAL CHECK (abs(raw_upper) < 1e5),
  raw_source  TEXT CHECK (length(raw_source) BETWEEN 1 AND 120),
  at_x        REAL CHECK (abs(at_x) < 1e5),
  at_y        REAL CHECK (abs(at_y) < 1e5),
  at_z        REAL CHECK (abs(at_z) < 1e5),
  nominal_known INTEGER NOT NULL DEFAULT 1 CHECK (nominal_known IN (0, 1)),
  sheet       TEXT CHECK (length(sheet) BETWEEN 1 AND 20),
  zone        TEXT CHECK (length(zone) BETWEEN 1 AND 20),
  characteristic TEXT CHECK (length(characteristic) BETWEEN 1 AND 60),
  CHECK (lower IS NULL OR upper IS NULL OR lower <= upper)
) STRICT, WITHOUT ROWID;
INSERT INTO feature_again SELECT * FROM feature;
DROP TABLE feature;
ALTER TABLE feature_again RENAME TO feature;
CREATE INDEX feature_same_as ON feature (same_as_id) WHERE same_as_id IS NOT NULL;
CREATE INDEX feature_balloon ON feature (revision_id, balloon);
CREATE TRIGGER feature_no_update BEFORE UPDATE ON feature
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER feature_no_delete BEFORE DELETE ON feature
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER feature_no_replace BEFORE INSERT ON feature
  WHEN EXISTS (SELECT 1 FROM feature WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- Two versions that two benches made of one thing, apart: when somebody saves a version of it, the other one is put
-- aside for it. Kind number and id of the version; for_id is the version that was saved.
CREATE TABLE put_aside (
  id         BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  about_kind INTEGER NOT NULL CHECK (about_kind > 0),
  about_id   BLOB NOT NULL CHECK (length(about_id) = 16),
  for_id     BLOB NOT NULL CHECK (length(for_id) = 16)
) STRICT, WITHOUT ROWID;
CREATE INDEX put_aside_about ON put_aside (about_id);
CREATE TRIGGER put_aside_no_update BEFORE UPDATE ON put_aside
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER put_aside_no_delete BEFORE DELETE ON put_aside
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER put_aside_no_replace BEFORE INSERT ON put_aside
  WHEN EXISTS (SELECT 1 FROM put_aside WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- That the rows of another shop are taken in as one's own: its id, and what it is called here.
CREATE TABLE shop_adopted (
  id      BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  shop_id BLOB NOT NULL CHECK (length(shop_id) = 16),
  name    TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 80)
) STRICT, WITHOUT ROWID;
CREATE TRIGGER shop_adopted_no_update BEFORE UPDATE ON shop_adopted
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER shop_adopted_no_delete BEFORE DELETE ON shop_adopted
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER shop_adopted_no_replace BEFORE INSERT ON shop_adopted
  WHEN EXISTS (SELECT 1 FROM shop_adopted WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

PRAGMA user_version = 10;
