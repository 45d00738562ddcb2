"""The trade's words as tables: settings, facts, cautions, sources. A new setting or fact touches its table only."""
