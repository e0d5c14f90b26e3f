"""One widget a module, and what they share."""
