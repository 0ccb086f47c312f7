"""What Onfold must be quick at, against named rivals in the same run: `python -m benchmarks`."""
