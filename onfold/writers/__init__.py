"""One writer a file format: pdf, svg, png from drawings; pattern_json from the pattern itself."""
