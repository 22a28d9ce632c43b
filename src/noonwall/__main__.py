"""`python -m noonwall` is the command line."""

import sys

from noonwall.cli.main import main

sys.exit(main())
