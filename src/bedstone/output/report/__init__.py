"""The calculation package: everything a checker reads, as one PDF."""
