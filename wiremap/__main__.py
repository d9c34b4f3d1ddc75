"""`python -m wiremap`."""

import sys

from wiremap.cli.main import main

sys.exit(main())
