"""The record in git: durable writing, fast reading, history."""
