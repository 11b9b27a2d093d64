"""What the user gave that cannot be used.

An exception is for input that cannot be used at all. Its message is one sentence
or two for the bench: what, where, what was measured, what was expected, what to do.
Art that can be read but not cut is a finding, never an exception.
"""


class TracerError(Exception):
    """Base of all errors that are the input's doing; the command line exits with 2."""


class LengthError(TracerError, ValueError):
    """A length, size, angle or ratio that cannot be read, or is out of range."""


class BitError(TracerError, ValueError):
    """A bit that cannot exist, or a depth or width that the bit cannot cut."""


class ArtError(TracerError):
    """A picture that cannot be opened, or holds nothing to follow."""


class JobError(TracerError):
    """A job or shop file, or a combination of settings, that cannot be used."""


class OutputError(TracerError):
    """A folder or file that cannot be written without losing something."""


class LetterError(TracerError):
    """The words cannot be set: the face lacks a letter, the font cannot be read, there is nothing to set."""
