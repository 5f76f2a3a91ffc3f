"""The tests of netprice."""
