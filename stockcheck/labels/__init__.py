"""From a holding to a drawn label, and back again by reading what was drawn."""
