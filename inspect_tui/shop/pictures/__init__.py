"""Pictures of whatever the record holds: what they can be of, how they come in, which there are."""
