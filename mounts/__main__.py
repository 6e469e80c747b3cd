"""``python -m mounts``."""

import sys

from mounts.cli import main

sys.exit(main())
