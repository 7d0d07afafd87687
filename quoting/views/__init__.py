"""Pages of quotes, issues and links."""
