"""Questions to the record, one file a room of the shop."""
