"""The practice bench: a simulated stack with hidden errors, to learn the method on and to check it with."""
