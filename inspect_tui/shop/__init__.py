"""What people come to do, one module a job: read the record, compute, write, return a plain result."""
