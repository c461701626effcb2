"""The vocabulary of Partline: frozen documents that every other room speaks in."""
