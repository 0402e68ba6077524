"""What to drill: decks in TOML, read with every fault named at its place."""
