"""One canonical text for a set of values, so that equal values have equal fingerprints."""

import json
from typing import Any


def canonical_text(fields: dict[str, Any]) -> str:
    """The exact text a hash is taken of: sorted keys, no spaces, no NaN."""
    return json.dumps(
        fields, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
    )
