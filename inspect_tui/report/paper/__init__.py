"""Papers as files: HTML, PDF, CSV, photographs, the way to the disk."""
