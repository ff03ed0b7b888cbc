"""What a command prints for programs, held against its schema in docs/schemas."""

import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

from jsonschema import Draft202012Validator
from jsonschema.exceptions import best_match

SCHEMAS = Path(__file__).parent.parent / "docs" / "schemas"


@cache
def schema(command: str) -> dict[str, Any]:
    """Of all that a command prints."""
    read: dict[str, Any] = json.loads((SCHEMAS / f"{command}.json").read_text(encoding="utf-8"))
    return read


def fits(command: str, told: object) -> None:
    """Fails, and says why, where this is not what the schema describes."""
    error = best_match(Draft202012Validator(schema(command)).iter_errors(told))
    assert error is None, f"{command} --json, at {error.json_path}: {error.message}"


def parts(told: object) -> Iterator[dict[str, Any]]:
    """Every object in JSON, at any depth."""
    inner = told.values() if isinstance(told, dict) else told if isinstance(told, list) else ()
    if isinstance(told, dict):
        yield told
    for each in inner:
        yield from parts(each)
