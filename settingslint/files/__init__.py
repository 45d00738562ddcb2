"""Files of a portfolio: found, read, and written whole."""
