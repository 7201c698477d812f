-- Nothing changes: the number belongs to what comes before 014.

PRAGMA user_version = 13;
