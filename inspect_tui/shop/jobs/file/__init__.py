"""The whole job as a file: read with every mistake named, written out of the record, changed and copied."""
