"""How an answer leaves a command."""

import json
from typing import Any

import click

__all__ = ["print_json"]


def print_json(answer: dict[str, Any]) -> None:
    """Print an answer as JSON, always in the same order of keys."""
    click.echo(json.dumps(answer, ensure_ascii=False, indent=1))
