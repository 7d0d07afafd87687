"""Everything that changes a consultation, by subject. Each function is a deed."""
