"""How often the long tests look: TACKFREE_TIMES=5 draws five times as many jobs, for a night."""

import os

TIMES = int(os.environ.get("TACKFREE_TIMES", "1"))
"""What the number of examples of a long test is multiplied with."""
