"""Invented dirt and habits: seeded draws of what runs of a trial would show. Assumed noise, not measured."""
