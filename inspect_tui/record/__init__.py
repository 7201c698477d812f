"""The shop's record: SQLite, append-only. The only SQL of the bench."""
