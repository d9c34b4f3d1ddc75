"""Designs low-voltage harness adapters and splices and checks them before power-up."""
