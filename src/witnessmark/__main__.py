"""`python -m witnessmark` is `witnessmark`."""

from witnessmark.cli import main

main()
