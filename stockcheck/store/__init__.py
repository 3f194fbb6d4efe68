"""The only place that knows SQL: opening a store, its schema, the ledger, the catalogue."""
