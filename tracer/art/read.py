"""A picture file as a Scan: upright, on white, eight bits, with a size that can be trusted."""

from pathlib import Path

from tracer.art.arrays import image_of, png_of, scan_of
from tracer.art.files import digest, opened
from tracer.art.kinds import HEAD, is_pdf, refuse_strangers
from tracer.art.pages import picture_page
from tracer.art.resolution import scale_of
from tracer.model.scan import Scan
from tracer.reading import AS_IT_IS, Reading

__all__ = ["image_of", "png_of", "read_picture", "scan_of"]


def read_picture(path: Path, reading: Reading = AS_IT_IS) -> Scan:
    """Return the picture in `path`, or one page of it.

    What `reading` says of its size wins: dots per inch, else the whole width, else a known
    length. Without them the file's own entry is taken where it is believable, else the size
    is unknown. Pictures of more than 72 million pixels are made smaller, and that is noted.

    Raises
    ------
    ArtError
        Where there is no such file or page, or no picture in it, or it is cut short, too
        small or too large.
    """
    with opened(path) as file:
        head = file.read(HEAD)
        refuse_strangers(head, path.name)
        sha256 = digest(file)
        if is_pdf(head):
            from tracer.art.pdf import pdf_page

            sheet = pdf_page(file, path.name, reading.page, reading.dpi)
        else:
            sheet = picture_page(file, head, path.name, reading.page)
    height, width = sheet.grey.shape
    scale = scale_of(reading, sheet.entry, width, height, sheet.shrunk)
    return Scan(
        sheet.grey,
        sheet.colour,
        scale.mm_per_px,
        scale.words,
        path.name,
        sha256,
        sheet.notes,
        from_camera=sheet.from_camera,
        shrunk=sheet.shrunk,
    )
