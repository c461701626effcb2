"""What the salon can be asked to do. Services see ports, never a database or a request."""
