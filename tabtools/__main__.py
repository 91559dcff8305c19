"""python -m tabtools"""

from tabtools.cli import main

main(prog_name="tabtools")
