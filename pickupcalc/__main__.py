"""``python -m pickupcalc`` is the command line."""

import sys

from pickupcalc.cli import main

sys.exit(main())
