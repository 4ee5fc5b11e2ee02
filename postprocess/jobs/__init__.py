"""Sheets and lists of single jobs: setting out jacks, choosing springs, swapping them for a new layout."""
