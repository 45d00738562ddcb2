"""Spreadsheets: rows of somebody's table become profiles, and a portfolio becomes a table."""
