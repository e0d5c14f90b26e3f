"""Long runs on demand: python -m pytest tests/endurance -s; each prints its figures."""
