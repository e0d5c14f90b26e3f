"""The self-check: published examples run through the program on this computer, expected beside obtained.

A topic is a module with `checks()`, which returns its checks and computes nothing until they are run. `catalogue` lists
the topics, `record` runs them, `record_table` and `write` bring the record to a file.
"""
