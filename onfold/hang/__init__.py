"""The hang: the sewn garment as cloth on a dress form."""
