"""Jobs: what is to be made, from form or file."""
