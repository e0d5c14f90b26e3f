"""Published values that the self-check compares with, as CSV; where each comes from stands beside its check."""
