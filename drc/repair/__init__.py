"""Causes and remedies: an Assessment comes in, edits that were tried on a copy go out."""
