"""From solutions to decisions and papers: jack schedule, checks, pictures, scenes, result files."""
