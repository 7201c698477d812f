"""A trial in the mould is written down: its checklist, one line of it as it is typed, the whole put right."""
