"""Proving: trials in the mould are written down on a checklist, and say which cores have been proven together."""
