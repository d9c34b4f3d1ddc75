"""Sharing between workshops: packs, comparison, intake of tables and the way back."""
