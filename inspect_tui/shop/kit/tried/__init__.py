"""What was tried in the mould: the trials of a job, what has changed since each, what they say of fits and walls."""
