"""The mould as it is drawn: what there is to draw of a job's kit."""
