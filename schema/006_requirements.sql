-- Requirements of the raw casting beside those of the finished part, the state in which a size was read and a day in the
-- past on which it was, corrections of a drawing's typing errors, gauges taken out of use. Columns are added at the end: rows written before keep their hashes.

-- Limits of the size as cast, as sizes. raw_source: drawing, a casting grade, or that it must only clean up; NULL: nothing
-- is said of the raw casting.
ALTER TABLE feature ADD COLUMN raw_lower REAL CHECK (abs(raw_lower) < 1e5);
ALTER TABLE feature ADD COLUMN raw_upper REAL CHECK (abs(raw_upper) < 1e5);
ALTER TABLE feature ADD COLUMN raw_source TEXT CHECK (length(raw_source) BETWEEN 1 AND 120);

-- In which state of the casting a reading was made: raw as it came out of the sand, or finished by machining.
ALTER TABLE setup ADD COLUMN state TEXT NOT NULL DEFAULT 'raw' CHECK (state IN ('raw', 'finished'));

-- The day on which it was read where that is not the day on which it was logged; the entry tells when it was logged.
ALTER TABLE setup ADD COLUMN on_date TEXT CHECK (on_date GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]');
CREATE INDEX setup_on_date ON setup (id, on_date) WHERE on_date IS NOT NULL;

-- A revision of the same letter that only puts right what was typed wrong; why says what.
ALTER TABLE drawing_revision ADD COLUMN corrects_id BLOB REFERENCES drawing_revision(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE drawing_revision ADD COLUMN why TEXT CHECK (length(why) BETWEEN 1 AND 400);
CREATE INDEX drawing_revision_corrects ON drawing_revision (corrects_id) WHERE corrects_id IS NOT NULL;

-- Gauges taken out of use and back, by the day; the newest row holds.
CREATE TABLE instrument_state (
  id               BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  instrument_of_id BLOB NOT NULL REFERENCES instrument(id),
  state            TEXT NOT NULL CHECK (state IN ('in_use', 'out_of_use')),
  since_on         TEXT NOT NULL CHECK (since_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  why              TEXT CHECK (length(why) BETWEEN 1 AND 400)
) STRICT, WITHOUT ROWID;
CREATE INDEX instrument_state_instrument ON instrument_state (instrument_of_id, id);
CREATE TRIGGER instrument_state_no_update BEFORE UPDATE ON instrument_state
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER instrument_state_no_delete BEFORE DELETE ON instrument_state
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER instrument_state_no_replace BEFORE INSERT ON instrument_state
  WHEN EXISTS (SELECT 1 FROM instrument_state WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

PRAGMA user_version = 6;
