"""What letters and words are called on pages whose own fonts may not hold them."""

import unicodedata

from tracer.model.plan import Plan
from tracer.sheets.pdf_letters import lacking, shown

_MARKS = {"Mn", "Me", "Cf"}
"""Unicode's categories of what has no name of its own beside a letter: accents, and signs of direction."""


def letter_name(text: str, number: int) -> str:
    """Return a letter as the pages can write it, or else its name: "shin", "Zhe", "letter 3" without one.

    Its accents are put together with it where Unicode has the two as one. Names are those of the
    Unicode Standard, after the word LETTER, with a capital where the letter is one.
    """
    plain = unicodedata.normalize("NFC", text)
    if plain and shown(plain) == plain:
        return plain
    names = [_called(one) for one in plain if unicodedata.category(one) not in _MARKS]
    return " + ".join(names) if names and all(names) else f"letter {number}"


def _called(letter: str) -> str:
    """Return the short name of one letter, "" where it has none."""
    if shown(letter) == letter:
        return letter
    _, is_letter, name = unicodedata.name(letter, "").rpartition("LETTER ")
    capital = " CAPITAL " in unicodedata.name(letter, "")
    name = name.lower() if is_letter else ""
    return name[:1].upper() + name[1:] if capital else name


def words_said(words: str) -> str:
    """Return words as the pages can write them, or how many letters they have where they can write few."""
    plain = unicodedata.normalize("NFC", words)
    count = sum(unicodedata.category(one)[0] not in "MCZ" for one in plain)
    if 2 * (shown(plain).count("?") - plain.count("?")) <= count:
        return shown(plain)
    return f"words, {count} letter{'' if count == 1 else 's'}"


def title_of(plan: Plan) -> str:
    """Return the name of the job as the pages can write it."""
    return words_said(plan.job.name)


_MOST_NAMED = 5


def unshown(plan: Plan) -> str:
    """Say which letters of the job's own words stand as "?" on its sheets, by name; "" where none does."""
    job = plan.job
    pieces = [piece.name for piece in plan.layout.pieces]
    told = [job.name, *pieces, job.revision, job.finish, job.art_from, job.allowed_by]
    if not (letters := lacking(" ".join(told))):
        return ""
    names = [unicodedata.name(one, f"U+{ord(one):04X}").lower() for one in letters[:_MOST_NAMED]]
    more = f" and {len(letters) - _MOST_NAMED} more" if len(letters) > _MOST_NAMED else ""
    return f'The sheets print "?" for letters that their type lacks: {", ".join(names)}{more}.'
