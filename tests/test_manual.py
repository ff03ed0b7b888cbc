"""The manual page has every command and option as they are now, and can be read."""

import os
import re
import shutil
import subprocess
from collections.abc import Iterable

import manual
import pytest

from assistant.cli.command import Command
from assistant.cli.families import commands


def names(among: Iterable[Command]) -> set[str]:  # type: ignore[type-arg]
    """Of commands and options."""
    found = set[str]()
    for each in among:
        found |= {each.name, *(name for one in each.arguments().values() for name in one.names), *names(each.under)}
    return found


def test_the_page_is_as_the_commands_are() -> None:
    assert manual.page() == manual.PAGE.read_text(encoding="utf-8"), "python packaging/manual.py makes it anew"


@pytest.mark.skipif(not shutil.which("man"), reason="man is not installed")
def test_man_shows_every_command_and_option() -> None:
    env = {**os.environ, "MANWIDTH": "400", "LC_ALL": "C.UTF-8", "MANPAGER": "cat"}
    command = ["man", "--warnings", "--local-file", str(manual.PAGE)]
    done = subprocess.run(command, env=env, capture_output=True, text=True, check=True)
    assert done.stderr == ""
    shown = set(re.findall(r"[\w-]+", done.stdout))
    assert names(commands()) - shown == set()
    assert {"NAME", "SYNOPSIS", "STATUS", "HEDDLECALL_DATA"} <= shown
