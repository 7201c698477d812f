"""Forms that are a row of the job file: a core, a tool, the mould's outline."""
