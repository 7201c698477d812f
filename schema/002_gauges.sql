-- Gauges: studies with their pieces, people and trials; quick checks on a reference piece; biases that came to light.
-- Values are mm (degrees for angles). Nothing here changes a reading: a bias is a fact beside it.

-- A study of how well an instrument reads one kind of feature. quantity NULL: any kind.
CREATE TABLE gauge_study (
  id               BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  instrument_of_id BLOB NOT NULL REFERENCES instrument(id),
  design           TEXT NOT NULL CHECK (design IN ('crossed', 'bias', 'linearity', 'stability')),
  title            TEXT NOT NULL CHECK (length(title) BETWEEN 1 AND 120),
  job_of_id        BLOB REFERENCES job(id),
  feature_id       BLOB REFERENCES feature(id),
  quantity         TEXT CHECK (quantity IN ('length', 'width', 'diameter', 'radius', 'depth', 'wall', 'step', 'position',
                     'flatness', 'angle', 'temperature', 'attribute')),
  trials           INTEGER NOT NULL CHECK (trials BETWEEN 1 AND 1000),   -- of each piece by each person
  seed             INTEGER NOT NULL,                                     -- of the blind order
  band_mm          REAL CHECK (band_mm > 0 AND band_mm < 1e5)            -- width of the tolerance it is to serve
) STRICT, WITHOUT ROWID;
CREATE INDEX gauge_study_instrument ON gauge_study (instrument_of_id);
CREATE INDEX gauge_study_job ON gauge_study (job_of_id) WHERE job_of_id IS NOT NULL;
CREATE INDEX gauge_study_feature ON gauge_study (feature_id) WHERE feature_id IS NOT NULL;
CREATE TRIGGER gauge_study_no_update BEFORE UPDATE ON gauge_study
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER gauge_study_no_delete BEFORE DELETE ON gauge_study
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER gauge_study_no_replace BEFORE INSERT ON gauge_study
  WHEN EXISTS (SELECT 1 FROM gauge_study WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- One piece that a study measures; reference_mm where its size is known better than the instrument can read.
CREATE TABLE gauge_part (
  id           BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  study_id     BLOB NOT NULL REFERENCES gauge_study(id),
  number       INTEGER NOT NULL CHECK (number BETWEEN 1 AND 1000),
  label        TEXT NOT NULL CHECK (length(label) BETWEEN 1 AND 60),
  reference_mm REAL CHECK (abs(reference_mm) < 1e5),
  u95_mm       REAL CHECK (u95_mm >= 0 AND u95_mm < 1e5),
  UNIQUE (study_id, number)
) STRICT, WITHOUT ROWID;
CREATE TRIGGER gauge_part_no_update BEFORE UPDATE ON gauge_part
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER gauge_part_no_delete BEFORE DELETE ON gauge_part
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER gauge_part_no_replace BEFORE INSERT ON gauge_part
  WHEN EXISTS (SELECT 1 FROM gauge_part WHERE id = NEW.id OR (study_id = NEW.study_id AND number = NEW.number))
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- Who measures in a study.
CREATE TABLE gauge_person (
  id           BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  study_id     BLOB NOT NULL REFERENCES gauge_study(id),
  number       INTEGER NOT NULL CHECK (number BETWEEN 1 AND 100),
  person_of_id BLOB NOT NULL REFERENCES person(id),
  UNIQUE (study_id, number)
) STRICT, WITHOUT ROWID;
CREATE INDEX gauge_person_person ON gauge_person (person_of_id);
CREATE TRIGGER gauge_person_no_update BEFORE UPDATE ON gauge_person
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER gauge_person_no_delete BEFORE DELETE ON gauge_person
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER gauge_person_no_replace BEFORE INSERT ON gauge_person
  WHEN EXISTS (SELECT 1 FROM gauge_person WHERE id = NEW.id OR (study_id = NEW.study_id AND number = NEW.number))
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- One reading of a study; instead_of_id is an earlier one that it takes the place of.
CREATE TABLE gauge_trial (
  id            BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  study_id      BLOB NOT NULL REFERENCES gauge_study(id),
  setup_id      BLOB NOT NULL REFERENCES setup(id),
  part_id       BLOB NOT NULL REFERENCES gauge_part(id),
  trial         INTEGER NOT NULL CHECK (trial BETWEEN 1 AND 1000),
  value         REAL NOT NULL CHECK (abs(value) < 1e5),
  typed         TEXT NOT NULL CHECK (length(typed) BETWEEN 1 AND 64),
  typed_unit    TEXT NOT NULL CHECK (length(typed_unit) BETWEEN 1 AND 12),
  instead_of_id BLOB REFERENCES gauge_trial(id) DEFERRABLE INITIALLY DEFERRED,
  CHECK (instead_of_id <> id)
) STRICT, WITHOUT ROWID;
CREATE INDEX gauge_trial_study ON gauge_trial (study_id, id);
CREATE INDEX gauge_trial_setup ON gauge_trial (setup_id);
CREATE INDEX gauge_trial_part ON gauge_trial (part_id);
CREATE INDEX gauge_trial_instead_of ON gauge_trial (instead_of_id) WHERE instead_of_id IS NOT NULL;
CREATE TRIGGER gauge_trial_no_update BEFORE UPDATE ON gauge_trial
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER gauge_trial_no_delete BEFORE DELETE ON gauge_trial
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER gauge_trial_no_replace BEFORE INSERT ON gauge_trial
  WHEN EXISTS (SELECT 1 FROM gauge_trial WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- One reading of a reference piece before work; u95_mm is the reference's own, at k = 2.
CREATE TABLE gauge_check (
  id            BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  setup_id      BLOB NOT NULL REFERENCES setup(id),
  reference     TEXT NOT NULL CHECK (length(reference) BETWEEN 1 AND 60),
  reference_mm  REAL NOT NULL CHECK (abs(reference_mm) < 1e5),
  u95_mm        REAL NOT NULL CHECK (u95_mm >= 0 AND u95_mm < 1e5),
  value         REAL NOT NULL CHECK (abs(value) < 1e5),
  typed         TEXT NOT NULL CHECK (length(typed) BETWEEN 1 AND 64),
  typed_unit    TEXT NOT NULL CHECK (length(typed_unit) BETWEEN 1 AND 12),
  instead_of_id BLOB REFERENCES gauge_check(id) DEFERRABLE INITIALLY DEFERRED,
  CHECK (instead_of_id <> id)
) STRICT, WITHOUT ROWID;
CREATE INDEX gauge_check_setup ON gauge_check (setup_id);
CREATE INDEX gauge_check_instead_of ON gauge_check (instead_of_id) WHERE instead_of_id IS NOT NULL;
CREATE TRIGGER gauge_check_no_update BEFORE UPDATE ON gauge_check
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER gauge_check_no_delete BEFORE DELETE ON gauge_check
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER gauge_check_no_replace BEFORE INSERT ON gauge_check
  WHEN EXISTS (SELECT 1 FROM gauge_check WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

-- A bias (reading minus truth) that came to light, over the days it held; readings stay as they are.
CREATE TABLE instrument_bias (
  id               BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  instrument_of_id BLOB NOT NULL REFERENCES instrument(id),
  from_on          TEXT NOT NULL CHECK (from_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  to_on            TEXT CHECK (to_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),   -- NULL: it still holds
  bias_mm          REAL NOT NULL CHECK (abs(bias_mm) < 1e5),
  u_mm             REAL NOT NULL CHECK (u_mm >= 0 AND u_mm < 1e5),                         -- standard uncertainty
  why              TEXT NOT NULL CHECK (length(why) BETWEEN 1 AND 400),
  found_from       TEXT NOT NULL CHECK (length(found_from) BETWEEN 1 AND 120),
  instead_of_id    BLOB REFERENCES instrument_bias(id) DEFERRABLE INITIALLY DEFERRED,
  CHECK (to_on >= from_on),
  CHECK (instead_of_id <> id)
) STRICT, WITHOUT ROWID;
CREATE INDEX instrument_bias_instrument ON instrument_bias (instrument_of_id, from_on);
CREATE INDEX instrument_bias_instead_of ON instrument_bias (instead_of_id) WHERE instead_of_id IS NOT NULL;
CREATE TRIGGER instrument_bias_no_update BEFORE UPDATE ON instrument_bias
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER instrument_bias_no_delete BEFORE DELETE ON instrument_bias
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER instrument_bias_no_replace BEFORE INSERT ON instrument_bias
  WHEN EXISTS (SELECT 1 FROM instrument_bias WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

PRAGMA user_version = 2;
