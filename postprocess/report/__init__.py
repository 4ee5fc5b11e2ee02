"""The report: a calculation that a checker can follow, as one page for a browser and as a document to print."""
