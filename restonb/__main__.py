"""`python -m restonb` is the command `restonb`."""

from restonb.cli.main import command

command()
