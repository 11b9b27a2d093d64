"""Forms of a PDF that draw themselves, or one another without end: found before PDFium follows them.

A form is a drawing that pages and other forms call by its name (ISO 32000-1, 8.10). PDFium reads each call
anew, without a bound.
"""

import math
import re
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from tracer.errors import ArtError

MOST_CALLS = 100_000
"""Drawings within drawings that a page may hold: maps of symbols have thousands."""

DEEPEST = 100
"""Drawings within drawings within drawings, and so on."""

_OBJECT = re.compile(rb"(?<![0-9])([0-9]{1,9}) 0 obj\b")
_FORM = re.compile(rb"/Subtype\s*/Form\b")
_RESOURCES = re.compile(rb"/Resources\s+([0-9]{1,9}) 0 R")
_NAMED = re.compile(rb"/XObject\s*(?:<<(.*?)>>|([0-9]{1,9}) 0 R)", re.DOTALL)
_ENTRY = re.compile(rb"/([^\s/<>()\[\]{}%]+)\s+([0-9]{1,9}) 0 R")


@dataclass(frozen=True)
class _Form:
    """A form's dictionary, and its content as it is in the file."""

    head: bytes
    packed: bytes

    @cached_property
    def content(self) -> bytes:
        """The content unpacked, as far as that is known and goes."""
        if b"/FlateDecode" not in self.head:
            return self.packed
        try:
            return zlib.decompressobj().decompress(self.packed, 1 << 24)
        except zlib.error:
            return b""


def check_forms(copy: bytes, name: str) -> None:
    """Refuse a PDF, as PDFium writes it anew, whose forms call themselves or come to far too many calls.

    Raises
    ------
    ArtError
        That says so.
    """
    if not _FORM.search(copy):
        return
    parts = _parts(copy)
    forms = {number: part for number, part in parts.items() if _FORM.search(part.head)}
    if _most_drawn({number: _called(form, parts) for number, form in forms.items()}) > MOST_CALLS:
        raise ArtError(
            f"{name} holds drawings that contain themselves, or others over {MOST_CALLS} times: print it "
            "to a new PDF, or save its page as PNG."
        )


def _parts(copy: bytes) -> dict[int, _Form]:
    """Return the objects of a PDF by their number."""
    found = {}
    for match in _OBJECT.finditer(copy):
        end = copy.find(b"endobj", match.end())
        head, _, packed = copy[match.end() : end if end > 0 else len(copy)].partition(b"stream")
        found[int(match[1])] = _Form(head, packed.lstrip(b"\r\n"))
    return found


def _called(form: _Form, parts: Mapping[int, _Form]) -> list[tuple[int, int]]:
    """Return the numbers of what a form calls, each with how often; once where its content cannot be read."""
    resources = _RESOURCES.search(form.head)
    head = parts[int(resources[1])].head if resources and int(resources[1]) in parts else form.head
    named = _NAMED.search(head)
    if named is None:
        return []
    listed = named[1] if named[1] is not None else parts.get(int(named[2]), _Form(b"", b"")).head
    entries = [(entry[1], int(entry[2])) for entry in _ENTRY.finditer(listed)]
    return [
        (number, max(1, len(re.findall(rb"/%s\s+Do\b" % re.escape(label), form.content))))
        for label, number in entries
    ]


def _most_drawn(calls: Mapping[int, list[tuple[int, int]]]) -> float:
    """Return how many forms are drawn for one at the most, itself counted; no end to it in circles."""
    counts = dict.fromkeys(calls, 1.0)
    for _ in range(DEEPEST):
        more = {
            form: 1 + sum(times * counts.get(child, 0) for child, times in called)
            for form, called in calls.items()
        }
        most = max(more.values(), default=0.0)
        if more == counts or most > MOST_CALLS:
            return most
        counts = more
    return math.inf
