"""Pages of the catalogue, by subject."""
