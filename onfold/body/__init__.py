"""The wearer: measures and how to take them, what is estimated from them, and what seldom goes together."""
