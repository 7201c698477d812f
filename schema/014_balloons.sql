-- Where the numbers of sizes and geometrical tolerances stand on a picture: F12 31.5 42; G1 60 12.5 (percent of its
-- width from the left edge and of its height from the top, as it is seen upright).
ALTER TABLE attachment_use ADD COLUMN balloons TEXT CHECK (length(balloons) BETWEEN 1 AND 8000);

PRAGMA user_version = 14;
