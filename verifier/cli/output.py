"""Drawings and waveforms go to files, whole or not at all."""

from pathlib import Path

import click

from verifier.cli.files import write_whole


def save(ctx: click.Context, path: Path, text: str) -> None:
    """Write a file.

    Raises:
        click.UsageError: It cannot be written.
    """
    try:
        write_whole(path, text)
    except OSError as wrong:
        raise click.UsageError(f"cannot write {path}: {wrong.strerror}", ctx) from wrong
