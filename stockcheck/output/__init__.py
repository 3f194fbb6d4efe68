"""One table model, written as text, CSV, JSON or PDF."""
