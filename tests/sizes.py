"""How large the long tests are: one setting scales repeats and drawn examples alike."""

import os

SIZE = float(os.environ.get("SAMEDIRT_TEST_SIZE", "0.1"))
FEWEST = 10


def scaled(full: int, fewest: int = FEWEST) -> int:
    """Of so many repeats, those of this run; at least 10 if not told otherwise."""
    return max(fewest, round(full * SIZE))
