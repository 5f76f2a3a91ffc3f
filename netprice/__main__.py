"""`python -m netprice` is the same as `netprice`."""

from netprice.cli.main import run

run()
