"""The published checks share readers that stand beside them."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
