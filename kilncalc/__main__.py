"""`python -m kilncalc` is the command `kilncalc`."""

import sys

if not sys.flags.safe_path:
    del sys.path[0]  # the folder it was started in: somebody else may have filled it

from kilncalc.cli import main

sys.exit(main())
