from __future__ import annotations

import sys
from pathlib import Path

# the helpers beside the tests: books built by hand, and the slow reckoning
sys.path.insert(0, str(Path(__file__).parent))
