"""Drawings, reports, spreadsheets and exchange files, all read from results."""
