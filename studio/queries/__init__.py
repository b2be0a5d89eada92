"""Reading for the pages: scoped to one studio, writing nothing."""
