"""Pages of the consultation, by subject."""
