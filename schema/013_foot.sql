-- What the keys of a foot switch do while a gauge is in hand, such as f13=log f14=retry.
ALTER TABLE instrument_profile ADD COLUMN foot TEXT CHECK (length(foot) BETWEEN 1 AND 120);

PRAGMA user_version = 13;
