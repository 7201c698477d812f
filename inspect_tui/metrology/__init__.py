"""The computations: pure functions on plain floats. No files, no SQL, no clock, no screen."""
