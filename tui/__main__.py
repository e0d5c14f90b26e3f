"""`python -m tui` does the same as `fullturn`."""

import sys

from tui.cli import main

sys.exit(main())
