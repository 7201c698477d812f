"""The file of the record: opened, made, locked, kept, backed up, moved forward."""
