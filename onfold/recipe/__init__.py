"""Recipes as data: steps and their forms, files read with line and caret, the bench, replay, finishing and telling."""
