"""A font's licence in a few words: what one calls it."""

import re

UNKNOWN = "licence: see the font"
"""Where what the font says of its licence has no short form."""

NONE = "the font names no licence"

_MOST = 60
"""Letters of a licence that has no common name."""

_COMMON = (
    (r"SIL Open Font Licen[cs]e|scripts\.sil\.org/OFL|openfontlicense\.org", "OFL", r"1\.[01]"),
    (r"Apache Licen[cs]e|apache\.org/licenses", "Apache", r"2\.0"),
    (r"Ubuntu Font Licen[cs]e", "Ubuntu Font Licence", r"1\.0"),
    (r"GUST Font Licen[cs]e", "GUST Font Licence", ""),
    (r"Liberation Fonts? Licen[cs]e", "Liberation Fonts licence", ""),
    (r"Bitstream Vera.*Permission is hereby granted|dejavu-fonts\.org", "Bitstream Vera licence", ""),
    (r"\bCC0\b|Creative Commons Zero|publicdomain/zero", "CC0", r"1\.0"),
    (r"GNU General Public Licen[cs]e", "GPL", r"[23](?=\D)"),
    (r"\bMIT Licen[cs]e|person obtaining a copy of this (?:software|font)", "MIT", ""),
)
"""What a licence's text or address has in it, what it is commonly called, and its versions."""

_SENTENCE = re.compile(r"(.{12,}?[^A-Z\s])[.;](?:\s|$)")
_OWNERS = re.compile(r"(?i:©|\(c\)|copyright)|\bby [A-Z]|@")


def short_licence(said: str, owner: str = "") -> str:
    """Return a licence by the name that it commonly has, else what its first sentence begins with.

    Parameters
    ----------
    said : what the font says of its licence, its address with it; "" for nothing.
    owner : its copyright, in which some fonts name their licence; no person in it is told.
    """
    said, owner = " ".join(said.split()), " ".join(owner.split())
    for text in filter(None, (said, owner)):
        for mark, name, versions in _COMMON:
            if found := re.search(mark, text, re.IGNORECASE):
                version = re.search(versions, text[found.start() :]) if versions else None
                return f"{name} {version[0]}" if version else name
    return _begun(re.sub(r"\S+://\S+", "", said)) if said else NONE


def _begun(said: str) -> str:
    """Return a text's first sentence, cut at a word's end; nothing that names its owners."""
    sentence = _SENTENCE.match(said)
    words = (sentence[1] if sentence else said).strip(" .,;")
    if len(words) > _MOST:
        words = words[: _MOST - 1].rsplit(" ", 1)[0].rstrip(" .,;") + "…"
    return UNKNOWN if not words or _OWNERS.search(words) else words
