"""restonb bench: JupyterLab on the build folder."""

from __future__ import annotations

import argparse

from restonb.cli.common import add_build, build_of, record_of, whole_number

EXAMPLE = """examples:
  restonb bench                                   on this machine only
  restonb bench --lan                             for a tablet in the same network, with a token
"""


def add(command: argparse.ArgumentParser) -> None:
    command.add_argument("--lan", action="store_true", help="let other machines of this network in, with the token")
    command.add_argument("--port", type=whole_number, default=0, help="which port (default: a free one)")
    command.add_argument("--no-browser", action="store_true", help="do not open a browser")
    add_build(command)


def answer(args: argparse.Namespace) -> int:
    from restonb.bench import serve
    from restonb.log import copy_template, templates

    build = build_of(args)
    record_of(build, begin=True).close()
    for template in templates(build):
        if not template.own:
            copy_template(build, template.name)
    return serve(build, lan=args.lan, port=args.port, browser=not args.no_browser)
