"""The lay: how the pieces lie on the cloth, how much of it to buy, what is left. Reads pattern and cloth only."""
