"""`python -m restonb` is the command `restonb`."""

from restonb.cli.main import main

raise SystemExit(main())
