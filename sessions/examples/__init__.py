"""Sessions that come with the program."""
