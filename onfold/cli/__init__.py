"""The command line: the door for makers and scripts. It computes nothing."""

from onfold.cli.commands import main

__all__ = ["main"]
