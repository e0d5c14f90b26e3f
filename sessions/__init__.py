"""The record of a calibration: the session file, its analysis, what is made of it."""
