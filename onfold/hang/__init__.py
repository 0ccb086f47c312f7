"""The hang: how the sewn garment falls on a form with the wearer's measures. Heavy; imported only when asked for."""
