-- What a thing without versions (a sampling, a casting or sand core, a gauge study) is called from now on, who said so and
-- why. Of a sampling it says the melt, the day and the number too. The newest row about a thing holds, whole.

CREATE TABLE renamed (
  id         BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
  about_kind INTEGER NOT NULL CHECK (about_kind > 0),
  about_id   BLOB NOT NULL CHECK (length(about_id) = 16),
  name       TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 120),
  heat       TEXT CHECK (length(heat) BETWEEN 1 AND 40),
  poured_on  TEXT CHECK (poured_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  quantity   INTEGER CHECK (quantity BETWEEN 0 AND 1000000000),
  why        TEXT NOT NULL CHECK (length(why) BETWEEN 1 AND 400)
) STRICT, WITHOUT ROWID;
CREATE INDEX renamed_about ON renamed (about_id, id);

CREATE TRIGGER renamed_no_update BEFORE UPDATE ON renamed
  BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END;
CREATE TRIGGER renamed_no_delete BEFORE DELETE ON renamed
  BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END;
CREATE TRIGGER renamed_no_replace BEFORE INSERT ON renamed
  WHEN EXISTS (SELECT 1 FROM renamed WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'record already there'); END;

PRAGMA user_version = 8;
