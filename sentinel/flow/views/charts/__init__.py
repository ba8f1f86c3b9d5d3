"""Charts as inline SVG text, each with its figures in words; colours by CSS class, meaning never by colour alone."""
