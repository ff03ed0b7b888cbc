"""A package says of which commit it was built: assistant/commit.txt, where git knows it."""

import runpy
import tempfile
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class Commit(BuildHookInterface):
    """Puts the file into wheel and source, and leaves the checkout as it is."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """As hatchling calls it; an editable install asks git itself."""
        about = runpy.run_path(str(Path(self.root, "assistant", "version.py")))
        commit = about["commit"](Path(self.root))
        if version != "editable" and commit and not Path(self.root, "assistant", about["WRITTEN"]).exists():
            self._folder = tempfile.TemporaryDirectory()
            file = Path(self._folder.name, about["WRITTEN"])
            file.write_text(commit + "\n", encoding="ascii")
            build_data["force_include"][str(file)] = f"assistant/{about['WRITTEN']}"
