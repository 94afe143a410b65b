"""The append-only history: lines, seals over rows, triggers, and their verification."""
