"""`python -m econ.cli` is the command kilncase."""

from econ.cli import main

main()
