"""Setting bearings on site."""
