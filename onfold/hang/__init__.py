"""The hang: a garment's cloth laid on a form of its wearer and let fall."""
