"""Tests of everything, in the tree of the program. What holds before anything else is imported is set here."""

import os
import sys

# The workers of a run share the cores: threads of the linear algebra would only get in each other's way.
for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(name, "1")

# Compiled once and kept, as Python does by itself: without, each worker compiles all tests again (10 s).
sys.dont_write_bytecode = False
