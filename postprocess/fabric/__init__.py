"""Sheets of fabric: where each lies, how far they lap, how many to buy."""
