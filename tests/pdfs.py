"""PDFs written object by object (ISO 32000-1, 7.5), so that every entry of their pages is known."""

from collections.abc import Sequence


def pdf(*pages: tuple[str, bytes], others: Sequence[bytes] = ()) -> bytes:
    """Return a PDF of pages, each (entries of its dictionary, content); `others` are objects from 3 on."""
    first = 3 + len(others)
    kids = " ".join(f"{first + 2 * k} 0 R" for k in range(len(pages)))
    objects = [b"<</Type/Catalog/Pages 2 0 R>>", f"<</Type/Pages/Kids[{kids}]/Count {len(pages)}>>".encode()]
    objects += others
    for k, (entries, content) in enumerate(pages):
        objects.append(f"<</Type/Page/Parent 2 0 R/Contents {first + 2 * k + 1} 0 R {entries}>>".encode())
        objects.append(stream("", content))
    out, places = b"%PDF-1.7\n", []
    for number, body in enumerate(objects, 1):
        places.append(len(out))
        out += b"%d 0 obj\n%s\nendobj\n" % (number, body)
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    size = len(objects) + 1
    return (
        out
        + b"xref\n0 %d\n0000000000 65535 f \n%strailer<</Size %d/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF"
        % (
            size,
            table,
            size,
            len(out),
        )
    )


def stream(entries: str, data: bytes) -> bytes:
    """Return a stream object."""
    return f"<</Length {len(data)} {entries}>>\nstream\n".encode() + data + b"\nendstream"


def picture(width: int, height: int, grey: bytes) -> bytes:
    """Return an image of eight bit grey (ISO 32000-1, 8.9.5)."""
    entries = (
        f"/Type/XObject/Subtype/Image/Width {width}/Height {height}/ColorSpace/DeviceGray/BitsPerComponent 8"
    )
    return stream(entries, grey)
