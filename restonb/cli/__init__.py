"""Thin commands over the rooms: each file adds one command and turns its answer into lines, JSON and an exit code."""
