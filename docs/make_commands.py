"""Write docs/commands.md from the commands themselves: `python docs/make_commands.py`."""

import re
from pathlib import Path
from typing import Any

import typer.main

TARGET = Path(__file__).parent / "commands.md"

_HEAD = """# Commands

Written by `python docs/make_commands.py` from the commands themselves: change the help texts, not this page.
Lengths are typed as at the bench: `400 mm`, `40cm`, `16in`, `2 3/8 in`, `1' 4"`.
"""


def _one_line(text: str | None) -> str:
    return re.sub(r"\s+", " ", text or "").strip().replace("|", "\\|")


def _names(option: Any) -> str:
    pairs = [", ".join(f"`{name}`" for name in names) for names in (option.opts, option.secondary_opts)]
    return " / ".join(filter(None, pairs))


def _usual(option: Any) -> str:
    default = option.default
    if default is None or default is False or callable(default) or "unset" in repr(default).lower():
        return ""
    return _one_line("yes" if default is True else f"`{getattr(default, 'value', default)}`")


def _row(option: Any) -> str:
    if option.param_type_name == "argument":
        name = f"`{(option.metavar or option.name).upper()}`"
    else:
        name = _names(option)
    return f"| {name} | {_one_line(getattr(option, 'help', ''))} | {_usual(option)} |"


def _section(words: str, command: Any) -> str:
    shown = [option for option in command.params if not option.hidden and option.name != "help"]
    shown.sort(key=lambda option: option.param_type_name != "argument")
    about = re.sub(r"\n{3,}", "\n\n", (command.help or "").replace("\f", "").strip())
    table = ["", "| | what it says | if not said |", "|---|---|---|", *map(_row, shown)] if shown else []
    return "\n".join([f"## {words}", "", about, *table, ""])


def commands() -> dict[str, Any]:
    """Every command by its words, such as "tracer groove", the whole first."""
    from tracer.cli import app

    found: dict[str, Any] = {}

    def collect(words: str, command: Any) -> None:
        found[words] = command
        for name, below in getattr(command, "commands", {}).items():
            if not below.hidden:
                collect(f"{words} {name}", below)

    collect("tracer", typer.main.get_command(app))
    return found


def page() -> str:
    """The page, as it should be now."""
    return "\n".join([_HEAD, *(_section(words, command) for words, command in commands().items())])


if __name__ == "__main__":
    TARGET.write_text(page(), encoding="utf-8")
