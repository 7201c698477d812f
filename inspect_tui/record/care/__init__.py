"""Keeping the record: checked against all that is known, backed up, put back, saved from damage."""
