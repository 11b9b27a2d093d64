"""Writers of files by name: what they need is loaded when the first file is written, or ahead of it."""

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

from tracer.model.plan import Plan

Writer = Callable[[Plan, Path], None]
"""Writes one file of a pack."""


@dataclass(frozen=True)
class Later:
    """The function `name` of the module `module` of this folder, loaded when first called."""

    module: str
    name: str

    def load(self) -> Any:
        """Load the module, and return the function."""
        return getattr(import_module(f"tracer.sheets.{self.module}"), self.name)

    def __call__(self, plan: Plan, path: Path, **said: Any) -> None:
        """Write the file."""
        self.load()(plan, path, **said)
