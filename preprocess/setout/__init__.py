"""Setting out jacks over a plan by a few rules: edges and corners first, straight rows between them."""
