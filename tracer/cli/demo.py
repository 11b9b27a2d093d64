"""`tracer demo`: the main job on the sample art."""

from pathlib import Path
from typing import Annotated

import typer

from tracer.cli.finding_lines import tell_paper
from tracer.cli.making import make_pack
from tracer.cli.template import OutFolder
from tracer.errors import ArtError

_ART = "hare-page.jpg"


def demo(
    output: OutFolder = Path("tracer-demo"),
    force: Annotated[bool, typer.Option("--force", help="Write over an earlier demo.")] = False,
) -> None:
    """Make the pack of a half coloured-in page for a child's headboard, 500 mm wide."""
    from tracer.settle import resolve

    job = resolve({"art": str(sample(_ART)), "width": "500 mm", "units": "mm", "name": "Hare headboard"})
    plan = make_pack(job, output, force=force)
    typer.echo(f"Open {output / 'report.html'} first, then preview.png, template.pdf and job-sheet.pdf.")
    tell_paper(plan)


def sample(name: str) -> Path:
    """Return the path of a sample picture: inside the installed package, or beside it in a checkout."""
    package = Path(__file__).parent.parent
    for folder in (package / "sample_art", package.parent / "sample_art"):
        if (folder / name).is_file():
            return folder / name
    raise ArtError(f"The sample picture {name} is not installed: run the demo from the project's checkout.")
