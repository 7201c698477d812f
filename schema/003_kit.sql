-- The kit: how cores, sticks, boxes and pattern halves go together; walls, passages, pictures, what was shipped.
-- Lengths of fits are mm at tooling scale (sand does not contract as the casting does), of walls mm of the casting.
-- core_of_id, tool_of_id and job_of_id name the first version of a core, tool or job.

-- A print or key (inner) and the seat that takes it (outer), along one axis; one row a place. Nothing outer: a print
-- whose seat is not said yet. A gap feature is read as the clearance itself.
CREATE TABLE fit (
  id               BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  of_id            BLOB NOT NULL REFERENCES fit(id) DEFERRABLE INITIALLY DEFERRED,
  replaces_id      BLOB REFERENCES fit(id) DEFERRABLE INITIALLY DEFERRED,
  job_of_id        BLOB NOT NULL REFERENCES job(id),
  label            TEXT NOT NULL CHECK (length(label) BETWEEN 1 AND 20),
  place            TEXT CHECK (length(place) BETWEEN 1 AND 20),   -- which of several alike
  kind             TEXT NOT NULL CHECK (kind IN ('print', 'key', 'joint', 'pattern')),
  inner_core_id    BLOB REFERENCES core(id),
  inner_half       TEXT CHECK (inner_half IN ('cope', 'drag')),
  outer_core_id    BLOB REFERENCES core(id),
  outer_half       TEXT CHECK (outer_half IN ('cope', 'drag')),
  inner_feature_id BLOB REFERENCES feature(id),
  outer_feature_id BLOB REFERENCES feature(id),
  gap_feature_id   BLOB REFERENCES feature(id),
  axis             TEXT NOT NULL CHECK (axis IN ('x', 'y', 'z', 'round')),
  way_in           TEXT NOT NULL CHECK (way_in IN ('x-', 'x+', 'y-', 'y+', 'z-', 'z+')),
  points           TEXT CHECK (points IN ('x-', 'x+', 'y-', 'y+', 'z-', 'z+')),   -- the way it stands out of its core
  clear_min_mm     REAL NOT NULL CHECK (clear_min_mm > 0 AND clear_min_mm < 100),
  clear_max_mm     REAL NOT NULL CHECK (clear_max_mm > 0 AND clear_max_mm < 100),
  band_source      TEXT NOT NULL CHECK (length(band_source) BETWEEN 1 AND 200),
  holds            TEXT CHECK (length(holds) BETWEEN 1 AND 40),   -- x, y+, rz and so on
  lift_mm          REAL CHECK (lift_mm >= 0 AND lift_mm < 100),   -- how far the core can rise in this seat
  at_x             REAL CHECK (abs(at_x) < 1e5),
  at_y             REAL CHECK (abs(at_y) < 1e5),
  at_z             REAL CHECK (abs(at_z) < 1e5),
  blocked_by       TEXT CHECK (length(blocked_by) BETWEEN 1 AND 80),   -- numbers of cores that would stand in the way
  mark             TEXT CHECK (length(mark) BETWEEN 1 AND 40),
  count            INTEGER NOT NULL CHECK (count BETWEEN 1 AND 999),
  active           INTEGER NOT NULL CHECK (active IN (0, 1)),
  note             TEXT CHECK (length(note) BETWEEN 1 AND 400),
  CHECK ((inner_core_id IS NULL) <> (inner_half IS NULL)),
  CHECK (outer_core_id IS NULL OR outer_half IS NULL),
  CHECK (clear_min_mm <= clear_max_mm)
) STRICT, WITHOUT ROWID;
CREATE INDEX fit_of ON fit (of_id);
CREATE INDEX fit_replaces ON fit (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX fit_job ON fit (job_of_id);
CREATE INDEX fit_inner_core ON fit (inner_core_id) WHERE inner_core_id IS NOT NULL;
CREATE INDEX fit_outer_core ON fit (outer_core_id) WHERE outer_core_id IS NOT NULL;
CREATE INDEX fit_inner_feature ON fit (inner_feature_id) WHERE inner_feature_id IS NOT NULL;
CREATE INDEX fit_outer_feature ON fit (outer_feature_id) WHERE outer_feature_id IS NOT NULL;
CREATE INDEX fit_gap_feature ON fit (gap_feature_id) WHERE gap_feature_id IS NOT NULL;
CREATE TRIGGER fit_no_update BEFORE UPDATE ON fit
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER fit_no_delete BEFORE DELETE ON fit
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER fit_no_replace BEFORE INSERT ON fit
  WHEN EXISTS (SELECT 1 FROM fit WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- A wall or passage whose loop a person wrote; loops that the program finds are not recorded.
CREATE TABLE stack (
  id          BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  of_id       BLOB NOT NULL REFERENCES stack(id) DEFERRABLE INITIALLY DEFERRED,
  replaces_id BLOB REFERENCES stack(id) DEFERRABLE INITIALLY DEFERRED,
  job_of_id   BLOB NOT NULL REFERENCES job(id),
  label       TEXT NOT NULL CHECK (length(label) BETWEEN 1 AND 20),
  name        TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 120),
  feature_id  BLOB REFERENCES feature(id),
  lower       REAL CHECK (abs(lower) < 1e5),
  upper       REAL CHECK (abs(upper) < 1e5),
  active      INTEGER NOT NULL CHECK (active IN (0, 1)),
  note        TEXT CHECK (length(note) BETWEEN 1 AND 400),
  CHECK (lower IS NULL OR upper IS NULL OR lower <= upper)
) STRICT, WITHOUT ROWID;
CREATE INDEX stack_of ON stack (of_id);
CREATE INDEX stack_replaces ON stack (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX stack_job ON stack (job_of_id);
CREATE INDEX stack_feature ON stack (feature_id) WHERE feature_id IS NOT NULL;
CREATE TRIGGER stack_no_update BEFORE UPDATE ON stack
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER stack_no_delete BEFORE DELETE ON stack
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER stack_no_replace BEFORE INSERT ON stack
  WHEN EXISTS (SELECT 1 FROM stack WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- One contributor of a written loop, mm of the casting: its size, how much more and less it may be, its sign.
CREATE TABLE stack_member (
  id         BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  stack_id   BLOB NOT NULL REFERENCES stack(id),
  ord        INTEGER NOT NULL,
  name       TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 120),
  sense      INTEGER NOT NULL CHECK (sense IN (-1, 1)),
  size_mm    REAL NOT NULL CHECK (abs(size_mm) < 1e5),
  plus_mm    REAL NOT NULL CHECK (plus_mm >= 0 AND plus_mm < 1e5),
  minus_mm   REAL NOT NULL CHECK (minus_mm >= 0 AND minus_mm < 1e5),
  shape      TEXT NOT NULL CHECK (shape IN ('normal', 'uniform')),
  tool       TEXT CHECK (length(tool) BETWEEN 1 AND 60),
  fit_id     BLOB REFERENCES fit(id),
  feature_id BLOB REFERENCES feature(id),
  UNIQUE (stack_id, ord)
) STRICT, WITHOUT ROWID;
CREATE INDEX stack_member_fit ON stack_member (fit_id) WHERE fit_id IS NOT NULL;
CREATE INDEX stack_member_feature ON stack_member (feature_id) WHERE feature_id IS NOT NULL;
CREATE TRIGGER stack_member_no_update BEFORE UPDATE ON stack_member
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER stack_member_no_delete BEFORE DELETE ON stack_member
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER stack_member_no_replace BEFORE INSERT ON stack_member
  WHEN EXISTS (SELECT 1 FROM stack_member WHERE id = NEW.id OR (stack_id = NEW.stack_id AND ord = NEW.ord))
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- A derived characteristic by a formula over balloons, with its rating: area -> estimated capacity.
CREATE TABLE passage (
  id          BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  of_id       BLOB NOT NULL REFERENCES passage(id) DEFERRABLE INITIALLY DEFERRED,
  replaces_id BLOB REFERENCES passage(id) DEFERRABLE INITIALLY DEFERRED,
  job_of_id   BLOB NOT NULL REFERENCES job(id),
  label       TEXT NOT NULL CHECK (length(label) BETWEEN 1 AND 20),
  name        TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 120),
  formula     TEXT NOT NULL CHECK (length(formula) BETWEEN 1 AND 500),
  unit        TEXT CHECK (length(unit) BETWEEN 1 AND 20),
  rated       REAL CHECK (rated > 0 AND rated < 1e9),
  minimum     REAL CHECK (minimum > 0 AND minimum < 1e9),
  exponent    REAL NOT NULL CHECK (exponent > 0 AND exponent <= 4),
  active      INTEGER NOT NULL CHECK (active IN (0, 1)),
  note        TEXT CHECK (length(note) BETWEEN 1 AND 400)
) STRICT, WITHOUT ROWID;
CREATE INDEX passage_of ON passage (of_id);
CREATE INDEX passage_replaces ON passage (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX passage_job ON passage (job_of_id);
CREATE TRIGGER passage_no_update BEFORE UPDATE ON passage
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER passage_no_delete BEFORE DELETE ON passage
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER passage_no_replace BEFORE INSERT ON passage
  WHEN EXISTS (SELECT 1 FROM passage WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- A picture: what it is and how large; its bytes lie beside the record, in att/ab/abcd..., named by this hash.
CREATE TABLE attachment (
  id         BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  sha256     TEXT NOT NULL CHECK (length(sha256) BETWEEN 1 AND 64),
  bytes      INTEGER NOT NULL CHECK (bytes BETWEEN 1 AND 26214400),
  media      TEXT NOT NULL CHECK (media IN ('image/jpeg', 'image/png')),
  width_px   INTEGER NOT NULL CHECK (width_px BETWEEN 1 AND 100000),
  height_px  INTEGER NOT NULL CHECK (height_px BETWEEN 1 AND 100000),
  shown_name TEXT NOT NULL CHECK (length(shown_name) BETWEEN 1 AND 120),
  CHECK (sha256 NOT GLOB '*[^0-9a-f]*')
) STRICT, WITHOUT ROWID;
CREATE INDEX attachment_sha256 ON attachment (sha256);
CREATE TRIGGER attachment_no_update BEFORE UPDATE ON attachment
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER attachment_no_delete BEFORE DELETE ON attachment
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER attachment_no_replace BEFORE INSERT ON attachment
  WHEN EXISTS (SELECT 1 FROM attachment WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- What a picture shows (the id of the first version of a core, tool, fit, job ... or of a shipment), in what order.
CREATE TABLE attachment_use (
  id            BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  of_id         BLOB NOT NULL REFERENCES attachment_use(id) DEFERRABLE INITIALLY DEFERRED,
  replaces_id   BLOB REFERENCES attachment_use(id) DEFERRABLE INITIALLY DEFERRED,
  attachment_id BLOB NOT NULL REFERENCES attachment(id),
  about_kind    INTEGER NOT NULL CHECK (about_kind > 0),
  about_id      BLOB NOT NULL CHECK (length(about_id) = 16),
  caption       TEXT CHECK (length(caption) BETWEEN 1 AND 120),
  ord           INTEGER NOT NULL,
  active        INTEGER NOT NULL CHECK (active IN (0, 1))
) STRICT, WITHOUT ROWID;
CREATE INDEX attachment_use_of ON attachment_use (of_id);
CREATE INDEX attachment_use_replaces ON attachment_use (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX attachment_use_attachment ON attachment_use (attachment_id);
CREATE INDEX attachment_use_about ON attachment_use (about_id);
CREATE TRIGGER attachment_use_no_update BEFORE UPDATE ON attachment_use
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER attachment_use_no_delete BEFORE DELETE ON attachment_use
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER attachment_use_no_replace BEFORE INSERT ON attachment_use
  WHEN EXISTS (SELECT 1 FROM attachment_use WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- What the setting of a core wants to know beyond its number and name. Checks are sizes in the mould (go and no-go).
CREATE TABLE core_detail (
  id               BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  of_id            BLOB NOT NULL REFERENCES core_detail(id) DEFERRABLE INITIALLY DEFERRED,
  replaces_id      BLOB REFERENCES core_detail(id) DEFERRABLE INITIALLY DEFERRED,
  core_of_id       BLOB NOT NULL REFERENCES core(id),
  set_order        INTEGER CHECK (set_order BETWEEN 0 AND 999),
  in_metal_dm3     REAL CHECK (in_metal_dm3 >= 0 AND in_metal_dm3 < 1e6),
  print_area_mm2   REAL CHECK (print_area_mm2 > 0 AND print_area_mm2 < 1e9),
  chaplets         INTEGER CHECK (chaplets BETWEEN 0 AND 999),
  chaplet_note     TEXT CHECK (length(chaplet_note) BETWEEN 1 AND 200),
  vents            TEXT CHECK (length(vents) BETWEEN 1 AND 200),
  lift_points      TEXT CHECK (length(lift_points) BETWEEN 1 AND 200),
  tol_mm           REAL CHECK (tol_mm >= 0 AND tol_mm < 100),   -- plus or minus, between two of its faces or seats
  template         TEXT CHECK (length(template) BETWEEN 1 AND 60),
  check_feature_id BLOB REFERENCES feature(id),
  check_name       TEXT CHECK (length(check_name) BETWEEN 1 AND 120),
  check_lower      REAL CHECK (abs(check_lower) < 1e5),
  check_upper      REAL CHECK (abs(check_upper) < 1e5),
  caution          TEXT CHECK (length(caution) BETWEEN 1 AND 200),
  note             TEXT CHECK (length(note) BETWEEN 1 AND 400),
  CHECK (check_lower IS NULL OR check_upper IS NULL OR check_lower <= check_upper)
) STRICT, WITHOUT ROWID;
CREATE INDEX core_detail_of ON core_detail (of_id);
CREATE INDEX core_detail_replaces ON core_detail (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX core_detail_core ON core_detail (core_of_id);
CREATE INDEX core_detail_check_feature ON core_detail (check_feature_id) WHERE check_feature_id IS NOT NULL;
CREATE TRIGGER core_detail_no_update BEFORE UPDATE ON core_detail
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER core_detail_no_delete BEFORE DELETE ON core_detail
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER core_detail_no_replace BEFORE INSERT ON core_detail
  WHEN EXISTS (SELECT 1 FROM core_detail WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- What the shipping and keeping of a tool wants to know. grain: the axis along which the wood runs.
CREATE TABLE tool_detail (
  id           BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  of_id        BLOB NOT NULL REFERENCES tool_detail(id) DEFERRABLE INITIALLY DEFERRED,
  replaces_id  BLOB REFERENCES tool_detail(id) DEFERRABLE INITIALLY DEFERRED,
  tool_of_id   BLOB NOT NULL REFERENCES tool(id),
  loose_pieces INTEGER CHECK (loose_pieces BETWEEN 0 AND 999),
  dowels       INTEGER CHECK (dowels BETWEEN 0 AND 999),
  weight_kg    REAL CHECK (weight_kg > 0 AND weight_kg < 1e6),
  mark         TEXT CHECK (length(mark) BETWEEN 1 AND 60),
  owner        TEXT CHECK (length(owner) BETWEEN 1 AND 80),
  grain        TEXT CHECK (grain IN ('x', 'y', 'z')),
  lift_points  TEXT CHECK (length(lift_points) BETWEEN 1 AND 200),
  note         TEXT CHECK (length(note) BETWEEN 1 AND 400)
) STRICT, WITHOUT ROWID;
CREATE INDEX tool_detail_of ON tool_detail (of_id);
CREATE INDEX tool_detail_replaces ON tool_detail (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX tool_detail_tool ON tool_detail (tool_of_id);
CREATE TRIGGER tool_detail_no_update BEFORE UPDATE ON tool_detail
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER tool_detail_no_delete BEFORE DELETE ON tool_detail
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER tool_detail_no_replace BEFORE INSERT ON tool_detail
  WHEN EXISTS (SELECT 1 FROM tool_detail WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- What left the shop, or came back (out_id: the one that it came back from).
CREATE TABLE shipment (
  id        BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  job_of_id BLOB NOT NULL REFERENCES job(id),
  way       TEXT NOT NULL CHECK (way IN ('out', 'back')),
  out_id    BLOB REFERENCES shipment(id) DEFERRABLE INITIALLY DEFERRED,
  to_whom   TEXT NOT NULL CHECK (length(to_whom) BETWEEN 1 AND 120),
  done_on   TEXT NOT NULL CHECK (done_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  condition TEXT CHECK (length(condition) BETWEEN 1 AND 400),
  note      TEXT CHECK (length(note) BETWEEN 1 AND 400)
) STRICT, WITHOUT ROWID;
CREATE INDEX shipment_job ON shipment (job_of_id);
CREATE INDEX shipment_out ON shipment (out_id) WHERE out_id IS NOT NULL;
CREATE TRIGGER shipment_no_update BEFORE UPDATE ON shipment
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER shipment_no_delete BEFORE DELETE ON shipment
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER shipment_no_replace BEFORE INSERT ON shipment
  WHEN EXISTS (SELECT 1 FROM shipment WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- One thing of a shipment: a tool or anything else, how many, its loose pieces counted, its condition.
CREATE TABLE shipment_line (
  id           BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  shipment_id  BLOB NOT NULL REFERENCES shipment(id),
  ord          INTEGER NOT NULL,
  tool_of_id   BLOB REFERENCES tool(id),
  what         TEXT NOT NULL CHECK (length(what) BETWEEN 1 AND 120),
  count        INTEGER NOT NULL CHECK (count BETWEEN 0 AND 9999),
  loose_pieces INTEGER CHECK (loose_pieces BETWEEN 0 AND 999),
  condition    TEXT CHECK (length(condition) BETWEEN 1 AND 400),
  UNIQUE (shipment_id, ord)
) STRICT, WITHOUT ROWID;
CREATE INDEX shipment_line_tool ON shipment_line (tool_of_id) WHERE tool_of_id IS NOT NULL;
CREATE TRIGGER shipment_line_no_update BEFORE UPDATE ON shipment_line
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER shipment_line_no_delete BEFORE DELETE ON shipment_line
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER shipment_line_no_replace BEFORE INSERT ON shipment_line
  WHEN EXISTS (SELECT 1 FROM shipment_line WHERE id = NEW.id OR (shipment_id = NEW.shipment_id AND ord = NEW.ord))
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

PRAGMA user_version = 3;
