"""The core: pure calculations. No Django, no database, no clock, nothing of the project."""
