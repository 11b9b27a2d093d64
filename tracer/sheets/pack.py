"""The template pack: all its files or none, and nothing of the user's lost."""

import shutil
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from functools import partial
from pathlib import Path

from tracer.errors import OutputError
from tracer.hands import meanwhile
from tracer.model.drawing import Drawing
from tracer.model.plan import Plan
from tracer.model.sizes import SizeCurve
from tracer.sheets.later import Later, Writer
from tracer.sheets.placement import pieces_of_words

Curve = Callable[[], SizeCurve | None]
"""Tells what other sizes lose, where that is known quickly."""

_JOB_SHEET, _PREVIEW, _REPORT = "job-sheet.pdf", "preview.png", "report.html"

FILES: Mapping[str, Writer] = {
    "template.pdf": Later("template", "write_template"),
    _JOB_SHEET: Later("job_sheet", "write_job_sheet"),
    "template.svg": Later("vector_file", "write_template_svg"),
    "carving.svg": Later("vector_file", "write_carving_svg"),
    _PREVIEW: Later("preview", "write_preview"),
    "preview-print.png": Later("preview", "write_print"),
    "proof.pdf": Later("proof", "write_proof"),
    "report.json": Later("record", "write_record"),
}
"""What every pack holds, besides report.html, and what writes it."""

LETTER_FILES: Mapping[str, Writer] = {"placement.pdf": Later("placement_sheet", "write_placement")}
"""What it holds besides where there are words."""

CARDS = "letter-cards.pdf"
"""And where cards were asked for."""

NAMES = (*FILES, _REPORT)
"""What is in every pack."""

AFTER = ("preview-print.png", "proof.pdf", "template.svg", "carving.svg")
"""What another process writes once the preview is drawn, of whose board it has the picture then, while this
one writes the report, which shows the preview. All the rest yet another writes meanwhile."""

_OWN = {*NAMES, *LETTER_FILES, CARDS}
"""All that may be in one."""


def load_writers() -> None:
    """Load what writing any pack needs, ahead of its plan."""
    from tracer.sheets.page import report_page
    from tracer.sheets.pdf_letters import fonts

    for writer in FILES.values():
        if isinstance(writer, Later):
            writer.load()
    report_page()
    fonts()


def write_pack(
    plan: Plan,
    folder: Path,
    *,
    force: bool,
    art: Mapping[int, bytes],
    say: Callable[[str], None],
    cards: Writer | None = None,
    curve: Curve = lambda: None,
) -> None:
    """Write the pack of a plan: built beside `folder`, then moved into its place.

    `cards` writes the letter cards, where they were asked for; `curve` tells, when it is due, what
    other sizes lose.

    Raises
    ------
    OutputError
        Where the folder holds a pack and not `force`, or anything else, or the disk
        refuses; what was there is then still there.
    """
    check_free(folder, force=force)
    try:
        with _folders_above(folder), _room_beside(folder) as beside:
            built = Path(beside) / "new"
            built.mkdir()
            _fill(plan, built, _writers(plan, art, cards), say, curve)
            _exchange(built, folder, Path(beside) / "old")
    except OSError as error:
        raise OutputError(
            f"The pack could not be written to {folder} ({error.strerror or error}); nothing there was "
            "changed. Name a folder on a disk with room that you may write to, with -o."
        ) from None


def check_free(folder: Path, *, force: bool) -> None:
    """Refuse a folder in which something would be lost, or that cannot be looked into."""
    try:
        if folder.is_symlink() or (folder.exists() and not folder.is_dir()):
            raise OutputError(f"{folder} is a file or a link, not a folder: name another with -o.")
        held = sorted(entry.name for entry in folder.iterdir()) if folder.is_dir() else []
    except OSError as error:
        raise OutputError(
            f"The pack could not be written to {folder} ({error.strerror or error}): "
            "name another folder with -o."
        ) from None
    foreign = [name for name in held if name not in _OWN]
    if foreign:
        raise OutputError(
            f"{folder} holds other things ({foreign[0]}): name a folder of the pack's own with -o."
        )
    if held and not force:
        raise OutputError(f"{folder} holds a pack already: name another folder with -o, or say --force.")


@contextmanager
def _folders_above(folder: Path) -> Iterator[None]:
    """Make the folders above one; those that were not there go again where the work fails."""
    made = [above for above in folder.parents if not above.exists()]
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        yield
    except BaseException:
        for above in made:
            with suppress(OSError):
                above.rmdir()
        raise


def _room_beside(path: Path) -> tempfile.TemporaryDirectory[str]:
    """Return a folder on the same disk, that goes with all that is left in it."""
    return tempfile.TemporaryDirectory(prefix=f".{path.name[:40]}-", dir=path.parent)


def _writers(plan: Plan, art: Mapping[int, bytes], cards: Writer | None) -> Mapping[str, Writer]:
    """Return what writes each file of a plan's pack, in order."""
    writers = {**FILES, **(LETTER_FILES if pieces_of_words(plan) else {})}
    if cards is not None:
        writers[_JOB_SHEET] = partial(Later("job_sheet", "write_job_sheet"), cards=True)
        writers[CARDS] = cards
    return {**writers, _REPORT: partial(_write_report, art=art)}


def _write_report(
    plan: Plan, path: Path, *, art: Mapping[int, bytes], curve: SizeCurve | None = None
) -> None:
    """Write the report, which shows the preview that lies beside it."""
    from tracer.sheets.page import write_report

    write_report(plan, path, art, preview=path.with_name(_PREVIEW).read_bytes(), curve=curve)


def _fill(
    plan: Plan, folder: Path, writers: Mapping[str, Writer], say: Callable[[str], None], curve: Curve
) -> None:
    """Write all files, most of them in other processes."""
    own = {_PREVIEW, *AFTER, _REPORT}
    first = {name: writer for name, writer in writers.items() if name not in own}
    after = {name: writers[name] for name in AFTER}
    report: Callable[..., None] = writers[_REPORT]
    with meanwhile(partial(_write, plan, folder, first, say)) as written:
        _write(plan, folder, {_PREVIEW: writers[_PREVIEW]}, say)
        with meanwhile(partial(_write, plan, folder, after, say)) as rest:
            _write(plan, folder, {_REPORT: partial(report, curve=curve())}, say)
            rest()
        written()


def _write(plan: Plan, folder: Path, writers: Mapping[str, Writer], say: Callable[[str], None]) -> None:
    """Write some of the files, in order."""
    for name, writer in writers.items():
        say(f"writing {name}")
        writer(plan, folder / name)


def _exchange(built: Path, folder: Path, aside: Path) -> None:
    """Put the new folder in the place of the old; the old one comes back if that fails."""
    if not folder.exists():
        built.rename(folder)
        return
    folder.rename(aside)
    try:
        built.rename(folder)
    except OSError:
        aside.rename(folder)
        raise
    shutil.rmtree(aside, ignore_errors=True)


def save_strokes(drawing: Drawing, path: Path, *, force: bool) -> None:
    """Write the strokes of a drawing to an SVG file, as `save_file` does."""
    from tracer.sheets.vector_file import write_strokes_svg

    save_file(path, partial(write_strokes_svg, drawing), force=force)


def save_file(path: Path, write: Callable[[Path], None], *, force: bool) -> None:
    """Write one file, whole or not at all.

    Raises
    ------
    OutputError
        Where the file is there already and not `force`, or the disk refuses.
    """
    check_file(path, force=force)
    try:
        with _room_beside(path) as beside:
            built = Path(beside) / "new"
            write(built)
            built.replace(path)
    except OSError as error:
        raise _unwritable(path, error) from None


def check_file(path: Path, *, force: bool) -> None:
    """Refuse a path at which something would be lost, or where no file can be."""
    try:
        folder, there, home = path.is_dir(), path.exists(), path.parent.is_dir()
    except OSError as error:
        raise _unwritable(path, error) from None
    if folder:
        raise OutputError(f"{path} is a folder: name a file in it with -o, such as {path / 'strokes.svg'}.")
    if there and not force:
        raise OutputError(f"{path} is there already: name another file with -o, or say --force.")
    if not home:
        raise OutputError(f"{path} could not be written: there is no folder {path.parent}; make it first.")


def _unwritable(path: Path, error: OSError) -> OutputError:
    return OutputError(f"{path} could not be written ({error.strerror or error}): name another file with -o.")
