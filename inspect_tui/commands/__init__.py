"""The command line, one module a family of commands; each imports what it needs when it runs."""
