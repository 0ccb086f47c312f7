"""The hang: the sewn garment on a form of the wearer, as it would fall."""
