"""Charts as inline SVG text, each with its figures in words; colours only by CSS class, meaning never by colour alone."""
