"""What one order comes to, module by module, with the sums worked out by hand."""
