"""The elements of an SVG file, read without trusting it."""

import re
import zlib
from dataclasses import dataclass, field
from pathlib import Path

from tracer.errors import ArtError

LARGEST = 64_000_000
"""Bytes of text beyond which a file is refused, packed (.svgz) or not."""

DEEPEST = 120
"""Elements within one another; drawing programs seldom nest more than twenty."""

MOST = 50_000
"""Elements in a file, and elements that are looked at when copies are counted each time."""

SPELLED_OUT = 1_000_000
"""Characters to which the abbreviations (entities) of a file may add up."""

SVG = "http://www.w3.org/2000/svg"

_GZIP = b"\x1f\x8b"
_BEFORE = re.compile(r"\s+|<\?.*?\?>|<!--.*?-->|<!DOCTYPE[^\[>]*(?:\[.*?\]\s*)?>", re.DOTALL)
_FIRST = re.compile(r"<(?:[\w.-]+:)?svg[\s/>]")


@dataclass(eq=False)
class Node:
    """One element: its plain name, attributes, children, text right inside it, and line in the file."""

    tag: str
    attributes: dict[str, str]
    line: int
    parent: "Node | None" = None
    children: list["Node"] = field(default_factory=list)
    text: str = ""


def is_svg(data: bytes) -> bool:
    """Say whether a file's first bytes are those of an SVG drawing, packed with gzip or not.

    The first element decides, not the name: a web page that holds a drawing is none.
    """
    head = data[:65536]
    if head[:2] == _GZIP:
        try:
            head = zlib.decompressobj(31).decompress(head, 65536)
        except zlib.error:
            return False
    wide = {b"\xff\xfe": "utf-16-le", b"\xfe\xff": "utf-16-be"}.get(head[:2])
    text = head.decode(wide or "utf-8-sig", "replace").lstrip("\ufeff")
    place = 0
    while before := _BEFORE.match(text, place):
        place = before.end()
    return _FIRST.match(text, place) is not None


def holds_svg(path: Path) -> bool:
    """Say whether the file in `path` is an SVG drawing, by what is in it; a pipe is not looked into."""
    try:
        if not path.is_file():
            return False
        with path.open("rb") as file:
            return is_svg(file.read(65536))
    except (OSError, ValueError):
        return False


def tree_of(data: bytes, name: str) -> Node:
    """Return the root element of an SVG file.

    Raises
    ------
    ArtError
        Where it is no whole XML, has no `svg` at its root, is too large or too deep, or
        abbreviates (XML entities) what would grow beyond measure or lies outside the file.
    """
    return _Reader(name).read(_unpacked(data, name))


def _unpacked(data: bytes, name: str) -> bytes:
    """Return the text of a file that may be packed with gzip."""
    if data[:2] == _GZIP:
        unpacker = zlib.decompressobj(31)
        try:
            data = unpacker.decompress(data, LARGEST + 1)
        except zlib.error as error:
            raise ArtError(f"{name} cannot be unpacked ({error}): save or copy the drawing again.") from None
        if len(data) <= LARGEST and not unpacker.eof:
            raise ArtError(f"{name} is cut short: save or copy the drawing again.")
    if len(data) > LARGEST:
        raise ArtError(
            f"{name} holds more than {LARGEST // 1_000_000} MB of text: that is no line drawing; "
            "save it without pictures inside, or simplified."
        )
    return data


class _Reader:
    """Builds the tree while expat reads, and stops it where the file goes beyond the bounds."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.root: Node | None = None
        self.open: list[Node] = []
        self.count = 0
        self.names: dict[str, str] = {}
        self.entities: dict[str, str] = {}

    def read(self, data: bytes) -> Node:
        """Read the whole file."""
        from xml.parsers import expat

        self.expat = expat.ParserCreate()
        self.expat.buffer_text = True
        self.expat.StartElementHandler = self._start
        self.expat.EndElementHandler = lambda _tag: self.open.pop()
        self.expat.CharacterDataHandler = self._text
        self.expat.EntityDeclHandler = self._entity
        self.expat.EndDoctypeDeclHandler = lambda: self._check_entities(data)
        try:
            self.expat.Parse(data, True)  # noqa: FBT003 - expat's own signature
        except expat.ExpatError as error:
            words = expat.errors.messages.get(error.code, "broken XML")
            raise ArtError(
                f"{self.name} is no whole SVG file: {words} on line {error.lineno}; save or copy it again."
            ) from None
        except (LookupError, ValueError) as error:
            raise ArtError(f"{self.name} cannot be read ({error}): save it as UTF-8.") from None
        if self.root is None or self.root.tag != "svg":
            raise ArtError(f"{self.name} is no SVG file: its first element is not svg.")
        return self.root

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        self.count += 1
        if self.count > MOST or len(self.open) >= DEEPEST:
            found = f"{MOST} elements" if self.count > MOST else f"{DEEPEST} elements within one another"
            raise ArtError(
                f"{self.name} has more than {found} (line {self.expat.CurrentLineNumber}): that is no line "
                "drawing; save it simplified."
            )
        for key, value in attributes.items():
            if key.startswith("xmlns"):
                self.names[key[6:]] = value
        parent = self.open[-1] if self.open else None
        plain = {key.rpartition(":")[2] if key.endswith(":href") else key: v for key, v in attributes.items()}
        node = Node(self._plain(tag), plain, self.expat.CurrentLineNumber, parent)
        if parent is None:
            self.root = node
        else:
            parent.children.append(node)
        self.open.append(node)

    def _plain(self, tag: str) -> str:
        """Return an SVG element's name without prefix; others keep theirs, which no SVG element has."""
        prefix, colon, local = tag.rpartition(":")
        return local if colon and self.names.get(prefix) == SVG else tag

    def _text(self, text: str) -> None:
        if self.open:
            self.open[-1].text += text

    def _entity(self, name: str, _parameter: int, value: str | None, *_rest: object) -> None:
        if value is None:
            raise ArtError(
                f"{self.name} points to something outside itself (entity {name}, line "
                f"{self.expat.CurrentLineNumber}), which is not followed: save it as plain SVG."
            )
        self.entities[name] = value

    def _check_entities(self, data: bytes) -> None:
        """Refuse abbreviations of abbreviations, and those whose uses add up to too much."""
        uses = sum(len(value) * data.count(b"&%s;" % name.encode()) for name, value in self.entities.items())
        if uses > SPELLED_OUT or any("&" in value for value in self.entities.values()):
            raise ArtError(
                f"{self.name} abbreviates text (XML entities) that would grow beyond measure: "
                "save it as plain SVG."
            )
