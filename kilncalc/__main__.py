"""`python -m kilncalc` is the command `kilncalc`."""

import sys

from kilncalc.cli import main

sys.exit(main())
