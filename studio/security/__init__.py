"""Who may come in, how often they may try, and what every answer carries."""
