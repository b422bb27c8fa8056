"""The command line: parses, calls one use case, renders."""
