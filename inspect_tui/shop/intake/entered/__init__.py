"""Tables of what forms ask: a line is a form filled in, read by the same rules, all of a file or nothing."""
