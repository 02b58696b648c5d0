"""Small things every room may use: errors, names, near names, JSON, consoles, whole files. Knows no other room."""
