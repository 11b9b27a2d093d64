"""Text as an SVG file can hold it."""

import re

_NOT_ALLOWED = re.compile("[\x00-\x1f\u202a-\u202e\u2066-\u2069\ud800-\udfff\ufffe\uffff]")


def allowed(words: str) -> str:
    """Return the text on one line with "?" for what XML 1.0 cannot hold, and what turns words after it round.

    XML cannot hold control letters and half pairs.
    """
    return _NOT_ALLOWED.sub("?", " ".join(words.split()))
