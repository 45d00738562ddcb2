"""`python -m settingslint`: the command line."""

from settingslint.cli import main

main()
