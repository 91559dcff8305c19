"""What `tabtools new` and `tabtools init` write."""
