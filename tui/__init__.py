"""The terminal: command line, app, screens and widgets."""
