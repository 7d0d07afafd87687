"""Everything that changes a quote, an issue, a link. Each function is a deed."""
