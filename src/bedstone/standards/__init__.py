"""The rules of the standards: values with their provenance, one function for each clause."""
