-- The first article that is signed: the order, geometrical tolerances, what was accepted by another way than a size,
-- what becomes of what does not conform, and who checked and released a report. Lengths are mm.

-- What the customer calls the part and the order, how many were ordered, and who pours.
ALTER TABLE job ADD COLUMN customer TEXT CHECK (length(customer) BETWEEN 1 AND 120);
ALTER TABLE job ADD COLUMN part_no TEXT CHECK (length(part_no) BETWEEN 1 AND 60);
ALTER TABLE job ADD COLUMN order_no TEXT CHECK (length(order_no) BETWEEN 1 AND 60);
ALTER TABLE job ADD COLUMN order_quantity INTEGER CHECK (order_quantity BETWEEN 1 AND 1000000000);
ALTER TABLE job ADD COLUMN foundry TEXT CHECK (length(foundry) BETWEEN 1 AND 120);

-- A geometrical tolerance of the drawing (ISO 1101). sizes and datum_sizes are balloons of the sizes that it is computed
-- from; without sizes it is accepted or not by another way (geometry_check). round: the zone is a diameter.
CREATE TABLE geometry (
  id             BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  of_id          BLOB NOT NULL REFERENCES geometry(id) DEFERRABLE INITIALLY DEFERRED,
  replaces_id    BLOB REFERENCES geometry(id) DEFERRABLE INITIALLY DEFERRED,
  job_of_id      BLOB NOT NULL REFERENCES job(id),
  balloon        TEXT NOT NULL CHECK (length(balloon) BETWEEN 1 AND 20),
  name           TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 120),
  what           TEXT NOT NULL CHECK (what IN ('position', 'line_profile', 'surface_profile', 'straightness', 'flatness',
                   'roundness', 'parallelism', 'perpendicularity')),
  tolerance_mm   REAL NOT NULL CHECK (tolerance_mm > 0 AND tolerance_mm < 1e5),
  round          INTEGER NOT NULL CHECK (round IN (0, 1)),
  datums         TEXT CHECK (length(datums) BETWEEN 1 AND 60),
  sizes          TEXT CHECK (length(sizes) BETWEEN 1 AND 400),
  datum_sizes    TEXT CHECK (length(datum_sizes) BETWEEN 1 AND 400),
  state          TEXT NOT NULL CHECK (state IN ('raw', 'finished')),
  sheet          TEXT CHECK (length(sheet) BETWEEN 1 AND 20),
  zone           TEXT CHECK (length(zone) BETWEEN 1 AND 20),
  characteristic TEXT CHECK (length(characteristic) BETWEEN 1 AND 60),
  note           TEXT CHECK (length(note) BETWEEN 1 AND 400),
  active         INTEGER NOT NULL CHECK (active IN (0, 1))
) STRICT, WITHOUT ROWID;
CREATE INDEX geometry_of ON geometry (of_id, id);
CREATE INDEX geometry_replaces ON geometry (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX geometry_job ON geometry (job_of_id);
CREATE TRIGGER geometry_no_update BEFORE UPDATE ON geometry
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER geometry_no_delete BEFORE DELETE ON geometry
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER geometry_no_replace BEFORE INSERT ON geometry
  WHEN EXISTS (SELECT 1 FROM geometry WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- A geometrical tolerance that was looked at on a casting by another way than sizes: how, by whom, and whether it was
-- accepted. The last one of a casting counts; holds 0 takes it back.
CREATE TABLE geometry_check (
  id             BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  geometry_of_id BLOB NOT NULL REFERENCES geometry(id),
  item_id        BLOB NOT NULL REFERENCES item(id),
  accepted       INTEGER NOT NULL CHECK (accepted IN (0, 1)),
  method         TEXT NOT NULL CHECK (length(method) BETWEEN 1 AND 200),
  person_of_id   BLOB NOT NULL REFERENCES person(id),
  on_date        TEXT NOT NULL CHECK (on_date GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  words          TEXT CHECK (length(words) BETWEEN 1 AND 400),
  holds          INTEGER NOT NULL CHECK (holds IN (0, 1))
) STRICT, WITHOUT ROWID;
CREATE INDEX geometry_check_geometry ON geometry_check (geometry_of_id);
CREATE INDEX geometry_check_item ON geometry_check (item_id);
CREATE INDEX geometry_check_person ON geometry_check (person_of_id);
CREATE TRIGGER geometry_check_no_update BEFORE UPDATE ON geometry_check
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER geometry_check_no_delete BEFORE DELETE ON geometry_check
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER geometry_check_no_replace BEFORE INSERT ON geometry_check
  WHEN EXISTS (SELECT 1 FROM geometry_check WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- What becomes of a size or a geometrical tolerance that does not conform on a casting (item_id NULL: on every casting
-- of the sampling where it does not). A concession holds to a day and for a number of castings.
CREATE TABLE disposition (
  id             BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  of_id          BLOB NOT NULL REFERENCES disposition(id) DEFERRABLE INITIALLY DEFERRED,
  replaces_id    BLOB REFERENCES disposition(id) DEFERRABLE INITIALLY DEFERRED,
  job_of_id      BLOB NOT NULL REFERENCES job(id),
  lot_id         BLOB REFERENCES lot(id),
  feature_id     BLOB REFERENCES feature(id),
  geometry_of_id BLOB REFERENCES geometry(id),
  item_id        BLOB REFERENCES item(id),
  state          TEXT NOT NULL CHECK (state IN ('raw', 'finished')),
  decision       TEXT NOT NULL CHECK (decision IN ('rework', 'concession', 'scrap', 'correct_tool')),
  until_on       TEXT CHECK (until_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  quantity       INTEGER CHECK (quantity BETWEEN 1 AND 1000000000),
  agreed_by      TEXT CHECK (length(agreed_by) BETWEEN 1 AND 120),
  reference      TEXT CHECK (length(reference) BETWEEN 1 AND 60),
  why            TEXT NOT NULL CHECK (length(why) BETWEEN 1 AND 400),
  person_of_id   BLOB NOT NULL REFERENCES person(id),
  on_date        TEXT NOT NULL CHECK (on_date GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  holds          INTEGER NOT NULL CHECK (holds IN (0, 1)),
  CHECK ((feature_id IS NULL) <> (geometry_of_id IS NULL)),
  CHECK (decision <> 'concession' OR (until_on IS NOT NULL AND quantity IS NOT NULL))
) STRICT, WITHOUT ROWID;
CREATE INDEX disposition_of ON disposition (of_id, id);
CREATE INDEX disposition_replaces ON disposition (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX disposition_job ON disposition (job_of_id);
CREATE INDEX disposition_lot ON disposition (lot_id) WHERE lot_id IS NOT NULL;
CREATE INDEX disposition_feature ON disposition (feature_id) WHERE feature_id IS NOT NULL;
CREATE INDEX disposition_geometry ON disposition (geometry_of_id) WHERE geometry_of_id IS NOT NULL;
CREATE INDEX disposition_item ON disposition (item_id) WHERE item_id IS NOT NULL;
CREATE INDEX disposition_person ON disposition (person_of_id);
CREATE TRIGGER disposition_no_update BEFORE UPDATE ON disposition
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER disposition_no_delete BEFORE DELETE ON disposition
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER disposition_no_replace BEFORE INSERT ON disposition
  WHEN EXISTS (SELECT 1 FROM disposition WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- Somebody checked or released the first article of a sampling. rests_on is a hash over the ids of all rows that it
-- rests on: where one comes or goes, the name no longer stands. The last one of an act counts; holds 0 takes it back.
CREATE TABLE article_sign (
  id           BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  job_of_id    BLOB NOT NULL REFERENCES job(id),
  lot_id       BLOB REFERENCES lot(id),
  act          TEXT NOT NULL CHECK (act IN ('checked', 'released')),
  person_of_id BLOB NOT NULL REFERENCES person(id),
  on_date      TEXT NOT NULL CHECK (on_date GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  rests_on     TEXT NOT NULL CHECK (length(rests_on) BETWEEN 1 AND 64),
  words        TEXT CHECK (length(words) BETWEEN 1 AND 400),
  holds        INTEGER NOT NULL CHECK (holds IN (0, 1))
) STRICT, WITHOUT ROWID;
CREATE INDEX article_sign_job ON article_sign (job_of_id, id);
CREATE INDEX article_sign_lot ON article_sign (lot_id) WHERE lot_id IS NOT NULL;
CREATE INDEX article_sign_person ON article_sign (person_of_id);
CREATE TRIGGER article_sign_no_update BEFORE UPDATE ON article_sign
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER article_sign_no_delete BEFORE DELETE ON article_sign
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER article_sign_no_replace BEFORE INSERT ON article_sign
  WHEN EXISTS (SELECT 1 FROM article_sign WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

PRAGMA user_version = 11;
