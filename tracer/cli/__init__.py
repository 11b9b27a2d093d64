"""The command line: one file a command; heavy packages load when a command runs."""

import sys

import typer

from tracer.cli.check import check
from tracer.cli.demo import demo
from tracer.cli.groove import groove
from tracer.cli.job import job
from tracer.cli.letters import letters
from tracer.cli.ratio import ratio
from tracer.cli.shop import app as shop
from tracer.cli.size import size
from tracer.cli.strokes import strokes
from tracer.cli.template import template
from tracer.cli.test_sheet import make_test_sheet
from tracer.errors import TracerError
from tracer.hands import keep_to_one_thread

app = typer.Typer(
    help="True-scale templates for carving with a router on a hand-moved copying linkage.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,  # the plain help comes 200 ms sooner
    pretty_exceptions_enable=False,
)
app.command()(template)
app.command()(letters)
app.command()(check)
app.command()(size)
app.command()(strokes)
app.command()(groove)
app.command()(ratio)
app.command("test-sheet")(make_test_sheet)
app.command()(job)
app.add_typer(shop, name="shop")
app.command()(demo)


@app.callback()
def _options(
    debug: bool = typer.Option(False, "--debug", help="Show where in the program an error arose."),
) -> None:
    """True-scale templates for carving with a router on a hand-moved copying linkage."""


def main() -> None:
    """Run a command; what the user did that cannot work is said in a sentence, with exit status 2."""
    keep_to_one_thread()
    try:
        app()
    except TracerError as error:
        _fail(error, str(error))
    except MemoryError as error:
        _fail(error, "There is not enough memory for this picture: save it smaller (300 dpi is plenty).")
    except KeyboardInterrupt:
        sys.exit(130)
    except Exception as error:  # noqa: BLE001 - no traceback ever reaches the user
        _fail(
            error,
            f"Something went wrong inside the program ({type(error).__name__}: {error}). "
            "Run it again as `tracer --debug ...` and send what it prints to the program's makers.",
        )


def _fail(error: BaseException, sentence: str) -> None:
    """Say what was wrong and stop with status 2; with --debug show the traceback too."""
    if "--debug" in sys.argv:
        import traceback

        traceback.print_exception(error)
    print(sentence, file=sys.stderr)
    sys.exit(2)
