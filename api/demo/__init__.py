"""The demo: an invented studio, led through two weeks by way of the HTTP API."""
