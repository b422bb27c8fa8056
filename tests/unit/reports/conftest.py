"""Let the tests of the reports read the invented season beside them."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
