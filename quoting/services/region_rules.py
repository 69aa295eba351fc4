"""The region rules that a firm starts from: dated starting points, all switched off, never advice."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

STARTER_RULES = Path(__file__).with_name("starter_rules.toml")

STARTING_POINT = "Starting point, have it checked by your adviser: "
"""Stands before the text of every rule until the firm has put its own."""


def starter_rules() -> list[dict[str, Any]]:
    """The rows to begin with: key, region, kind, name, figures (texts), text, source, as_of, and on, which is False.

    `as_of` is None where the date of the copy that was seen is not known.
    """
    with STARTER_RULES.open("rb") as file:
        rules: list[dict[str, Any]] = tomllib.load(file)["rule"]
    return [{"as_of": None} | rule | {"text": f"{STARTING_POINT}{rule['text']}", "on": False} for rule in rules]
