"""From what the engineer has to a model: case files, catalogues, plan geometry, mesh, load patterns."""
