"""Knowledge packs: reading, checking and layering the trade's rules; text and names only, never physics."""
