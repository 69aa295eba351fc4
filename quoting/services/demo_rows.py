"""The demo's files of rows: the firm, the folders by how far they are, what was found."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent


def read_demo(name: str) -> dict[str, Any]:
    """One of the demo's files: "firm", "past", "work", "jobs" or "found"."""
    return tomllib.loads((HERE / f"demo_{name}.toml").read_text(encoding="utf-8"))
