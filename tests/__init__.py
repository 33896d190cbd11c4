"""Tests of the package.

The workers share the cores: linear algebra on several threads in each would mostly wait for the others.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
