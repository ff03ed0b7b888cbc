"""Where what a weaver did and taught is kept. Imports nothing of ours."""

import os
from pathlib import Path

import platformdirs


def data() -> Path:
    """HEDDLECALL_DATA, or the user's data folder."""
    return Path(os.environ.get("HEDDLECALL_DATA") or platformdirs.user_data_dir("heddlecall"))
