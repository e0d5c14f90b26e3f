"""Circle closure in numbers: no files, no clock, no screen."""
