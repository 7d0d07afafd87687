"""One form for each deed. A form checks shape; the deed checks rules."""
