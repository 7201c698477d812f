-- Trends: counts of cores and moulds, repairs, tools taken out of use and back, agreed limits of wear, weights.
-- tool_of_id and job_of_id name the first version. Versioned rows carry holds: 0 takes the thing back, nothing is lost.

-- How many cores a box has blown, how many moulds a pattern has made. total: what the counter showed at the end of that
-- day; made: so many more were made; restart: a new counter begins that day at this figure, what was made before stays.
CREATE TABLE tool_count (
  id          BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  of_id       BLOB NOT NULL REFERENCES tool_count(id) DEFERRABLE INITIALLY DEFERRED,
  replaces_id BLOB REFERENCES tool_count(id) DEFERRABLE INITIALLY DEFERRED,
  tool_of_id  BLOB NOT NULL REFERENCES tool(id),
  way         TEXT NOT NULL CHECK (way IN ('total', 'made', 'restart')),
  count       INTEGER NOT NULL CHECK (count BETWEEN 0 AND 1000000000),
  on_date     TEXT NOT NULL CHECK (on_date GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  lot_id      BLOB REFERENCES lot(id),                  -- the lot that they were made for
  source      TEXT NOT NULL CHECK (source IN ('typed', 'imported', 'derived')),
  holds       INTEGER NOT NULL CHECK (holds IN (0, 1)),
  note        TEXT CHECK (length(note) BETWEEN 1 AND 400)
) STRICT, WITHOUT ROWID;
CREATE INDEX tool_count_of ON tool_count (of_id);
CREATE INDEX tool_count_replaces ON tool_count (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX tool_count_tool ON tool_count (tool_of_id, on_date);
CREATE INDEX tool_count_lot ON tool_count (lot_id) WHERE lot_id IS NOT NULL;
CREATE TRIGGER tool_count_no_update BEFORE UPDATE ON tool_count
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER tool_count_no_delete BEFORE DELETE ON tool_count
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER tool_count_no_replace BEFORE INSERT ON tool_count
  WHEN EXISTS (SELECT 1 FROM tool_count WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- What was done to a tool. feature_id: the one size that it concerns (NULL: the whole tool); core_id: the core that sits
-- in what was repaired (a seat, a print, keys). amount_mm: the change of the size as the action says it, no sign.
CREATE TABLE tool_repair (
  id          BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  of_id       BLOB NOT NULL REFERENCES tool_repair(id) DEFERRABLE INITIALLY DEFERRED,
  replaces_id BLOB REFERENCES tool_repair(id) DEFERRABLE INITIALLY DEFERRED,
  tool_of_id  BLOB NOT NULL REFERENCES tool(id),
  feature_id  BLOB REFERENCES feature(id),
  core_id     BLOB REFERENCES core(id),
  action      TEXT NOT NULL CHECK (action IN ('cut', 'add', 'new_insert', 'recoat', 'replace', 'line', 'other')),
  amount_mm   REAL CHECK (amount_mm >= 0 AND amount_mm < 1e5),
  done_on     TEXT NOT NULL CHECK (done_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  at_count    INTEGER CHECK (at_count BETWEEN 0 AND 1000000000),   -- cores or moulds made when it was done
  who         TEXT CHECK (length(who) BETWEEN 1 AND 80),
  what        TEXT NOT NULL CHECK (length(what) BETWEEN 1 AND 400),
  holds       INTEGER NOT NULL CHECK (holds IN (0, 1))
) STRICT, WITHOUT ROWID;
CREATE INDEX tool_repair_of ON tool_repair (of_id);
CREATE INDEX tool_repair_replaces ON tool_repair (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX tool_repair_tool ON tool_repair (tool_of_id, done_on);
CREATE INDEX tool_repair_feature ON tool_repair (feature_id) WHERE feature_id IS NOT NULL;
CREATE INDEX tool_repair_core ON tool_repair (core_id) WHERE core_id IS NOT NULL;
CREATE TRIGGER tool_repair_no_update BEFORE UPDATE ON tool_repair
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER tool_repair_no_delete BEFORE DELETE ON tool_repair
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER tool_repair_no_replace BEFORE INSERT ON tool_repair
  WHEN EXISTS (SELECT 1 FROM tool_repair WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- A tool taken out of use, or back into it; the last one by day counts.
CREATE TABLE tool_state (
  id         BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  tool_of_id BLOB NOT NULL REFERENCES tool(id),
  state      TEXT NOT NULL CHECK (state IN ('in_use', 'retired', 'revived')),
  since_on   TEXT NOT NULL CHECK (since_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  why        TEXT CHECK (length(why) BETWEEN 1 AND 400)
) STRICT, WITHOUT ROWID;
CREATE INDEX tool_state_tool ON tool_state (tool_of_id, since_on);
CREATE TRIGGER tool_state_no_update BEFORE UPDATE ON tool_state
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER tool_state_no_delete BEFORE DELETE ON tool_state
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER tool_state_no_replace BEFORE INSERT ON tool_state
  WHEN EXISTS (SELECT 1 FROM tool_state WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- How far a size of a tool may wear, where it was agreed; without one the limit follows from the chain to the casting.
CREATE TABLE wear_limit (
  id          BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  of_id       BLOB NOT NULL REFERENCES wear_limit(id) DEFERRABLE INITIALLY DEFERRED,
  replaces_id BLOB REFERENCES wear_limit(id) DEFERRABLE INITIALLY DEFERRED,
  tool_of_id  BLOB NOT NULL REFERENCES tool(id),
  feature_id  BLOB NOT NULL REFERENCES feature(id),
  lower       REAL CHECK (abs(lower) < 1e5),             -- mm at the tool
  upper       REAL CHECK (abs(upper) < 1e5),
  why         TEXT NOT NULL CHECK (length(why) BETWEEN 1 AND 200),
  holds       INTEGER NOT NULL CHECK (holds IN (0, 1)),
  CHECK (lower IS NULL OR upper IS NULL OR lower <= upper)
) STRICT, WITHOUT ROWID;
CREATE INDEX wear_limit_of ON wear_limit (of_id);
CREATE INDEX wear_limit_replaces ON wear_limit (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX wear_limit_tool ON wear_limit (tool_of_id);
CREATE INDEX wear_limit_feature ON wear_limit (feature_id);
CREATE TRIGGER wear_limit_no_update BEFORE UPDATE ON wear_limit
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER wear_limit_no_delete BEFORE DELETE ON wear_limit
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER wear_limit_no_replace BEFORE INSERT ON wear_limit
  WHEN EXISTS (SELECT 1 FROM wear_limit WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- What a casting or core weighs; the last one of an item counts.
CREATE TABLE item_weight (
  id         BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  item_id   BLOB NOT NULL REFERENCES item(id),
  weight_kg REAL NOT NULL CHECK (weight_kg > 0 AND weight_kg < 1e6),
  u95_kg    REAL CHECK (u95_kg >= 0 AND u95_kg < 1e6)
) STRICT, WITHOUT ROWID;
CREATE INDEX item_weight_item ON item_weight (item_id);
CREATE TRIGGER item_weight_no_update BEFORE UPDATE ON item_weight
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER item_weight_no_delete BEFORE DELETE ON item_weight
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER item_weight_no_replace BEFORE INSERT ON item_weight
  WHEN EXISTS (SELECT 1 FROM item_weight WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- The wall surface of a casting, one side, and its density: what a change of weight means for its walls.
CREATE TABLE wall_area (
  id          BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  of_id       BLOB NOT NULL REFERENCES wall_area(id) DEFERRABLE INITIALLY DEFERRED,
  replaces_id BLOB REFERENCES wall_area(id) DEFERRABLE INITIALLY DEFERRED,
  job_of_id   BLOB NOT NULL REFERENCES job(id),
  area_m2     REAL NOT NULL CHECK (area_m2 > 0 AND area_m2 < 1e4),
  density     REAL NOT NULL CHECK (density > 0 AND density < 1e5),   -- kg/m3
  why         TEXT NOT NULL CHECK (length(why) BETWEEN 1 AND 200)
) STRICT, WITHOUT ROWID;
CREATE INDEX wall_area_of ON wall_area (of_id);
CREATE INDEX wall_area_replaces ON wall_area (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX wall_area_job ON wall_area (job_of_id);
CREATE TRIGGER wall_area_no_update BEFORE UPDATE ON wall_area
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER wall_area_no_delete BEFORE DELETE ON wall_area
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER wall_area_no_replace BEFORE INSERT ON wall_area
  WHEN EXISTS (SELECT 1 FROM wall_area WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- Caches, not records: they may be dropped and made again at any time. One row for each size that is watched: on a tool
-- (source tool), on the sample cores of a box (core), on the castings of a job (casting; tool_of_id is then the job's).
-- NULL in a column of cores or weeks is no end or not known; sentence says which.
CREATE TABLE cache_trend (
  tool_of_id BLOB NOT NULL,
  feature_id BLOB NOT NULL,       -- the feature on the first drawing that has it
  source     TEXT NOT NULL CHECK (source IN ('tool', 'core', 'casting')),
  job_of_id  BLOB NOT NULL,
  label      TEXT NOT NULL,       -- of the tool, or castings
  balloon    TEXT NOT NULL,
  name       TEXT NOT NULL,
  unit       TEXT NOT NULL,
  n          INTEGER NOT NULL,
  last_day   INTEGER,             -- of the last reading, and of the last count: days as ordinals
  count_day  INTEGER,
  kind       TEXT NOT NULL,       -- left, at least, past, backward, unknown, none
  value_mm   REAL,                -- by the wear line, now
  target_mm  REAL,
  limit_mm   REAL,
  rate       REAL,                -- mm for each core
  u_rate     REAL,
  now        REAL,                -- cores since the last repair
  total      REAL,                -- cores in all
  per_week   REAL,
  cores_left REAL,
  low        REAL,
  high       REAL,
  risk       REAL,                -- of reaching the limit within the horizon
  sentence   TEXT NOT NULL,
  remarks    TEXT NOT NULL,       -- a line each: readings without counts, clocks, counts that go back
  PRIMARY KEY (tool_of_id, feature_id, source)
) STRICT, WITHOUT ROWID;

-- The newest readings of each, less the wear that is known, as doubles; place: how many readings there are before them.
CREATE TABLE cache_recent (
  tool_of_id BLOB NOT NULL,
  feature_id BLOB NOT NULL,
  source     TEXT NOT NULL,
  place      INTEGER NOT NULL,
  width      REAL,                -- of the tolerance, mm
  value      BLOB NOT NULL,
  PRIMARY KEY (tool_of_id, feature_id, source)
) STRICT;

-- How far the record had been read when the rows above were made: {device hex: last number} as JSON.
CREATE TABLE cache_trend_mark (
  one      INTEGER NOT NULL PRIMARY KEY CHECK (one = 1),
  frontier TEXT NOT NULL,
  rules    TEXT NOT NULL
) STRICT;

PRAGMA user_version = 5;
