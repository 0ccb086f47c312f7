"""What lies on the shelf as files: job tickets read whole, and a command's files written whole or not at all."""
