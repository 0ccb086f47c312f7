"""One writer a file format: pdf, svg and png from drawings, gltf from a mesh, pattern_json from the pattern itself."""
