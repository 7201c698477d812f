"""The faces of a job out of its record: which sizes share which face, and what sits in what."""
