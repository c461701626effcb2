"""Everything with I/O: HTTP, store, command line."""
