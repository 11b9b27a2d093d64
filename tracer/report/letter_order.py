"""Where words begin among the letters of a line: marks have no spaces, the text has."""

from collections.abc import Sequence

from tracer.model.marks import Marks


def word_breaks(marks: Marks) -> set[int] | None:
    """Return which letters, by their place in `marks`, stand right of a space; None where it cannot be told.

    Lines read from the left or from the right; of one that mixes both it is not told.
    """
    breaks: set[int] = set()
    for number, text in enumerate(marks.lettering.words.split("\n")):
        own = [k for k, letter in enumerate(marks.letters) if letter.line == number]
        texts = [marks.letters[k].text for k in own]
        begins = _begins(texts, text)
        if begins is not None:
            breaks |= {own[k] for k in begins}
            continue
        begins = _begins(texts[::-1], text)
        if begins is None:
            return None
        breaks |= {own[len(own) - k] for k in begins}
    return breaks


def _begins(letters: Sequence[str], text: str) -> list[int] | None:
    """Return which letters, as they are read, follow a space; None where they do not spell the text."""
    place, found = 0, []
    for k, letter in enumerate(letters):
        start = len(text) - len(text[place:].lstrip())
        if not text.startswith(letter, start):
            return None
        if k and start > place:
            found.append(k)
        place = start + len(letter)
    return None if text[place:].strip() else found
