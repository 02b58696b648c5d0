"""One module a command: arguments in, one call, a report out."""
